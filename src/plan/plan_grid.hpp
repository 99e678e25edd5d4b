// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/grid.hpp>

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <map>
#include <span>
#include <utility>
#include <vector>

namespace fuelring::plan {

/// Who may be asked and what is paid there: the number of an owner class in a neighbourhood.
/// 0 is ground that no unit may enter.
using ZoneId = std::uint16_t;
inline constexpr ZoneId no_zone = 0;

/// What a cell saves for what it costs, as an integer of the same order: the bits of a positive
/// float, points per budget unit. Equal keys are ordered by row, then column. 0: not worth a thing.
/// Law: positive floats rise as their bits do, so keys compare as ratios do. Error: a ratio is
/// rounded by at most 2^-24 of itself. Requires: a ratio that a float holds, not negative.
using Key = std::uint32_t;
inline Key key_of(double points_per_cost)
{
    return std::bit_cast<Key>(static_cast<float>(points_per_cost));
}
inline double ratio_of(Key key)
{
    return static_cast<double>(std::bit_cast<float>(key));
}

// Sums are integers, so that no order of adding changes them.
inline constexpr double conifer_unit_m2 = 1e-9; ///< conifer areas: share (1e-4) x area (1e-5 m2)
inline constexpr double points_unit = 0x1p-36;  ///< points: 2^61 holds 33 million

/// Cells of a block on the grid: the blocks of priority.tif.
inline constexpr int block_cells = 512;

/// One block as the caller knows it, row by row from its upper left corner. Shape: each span has as
/// many values as `rect` has cells; `rect` begins at multiples of block_cells and is no larger.
struct BlockFacts {
    CellRect rect;
    double cell_m2 = 1; ///< ground area of a cell
    /// no_zone: roads, houses, water, unmapped or forbidden ground.
    std::span<const ZoneId> zone;
    std::span<const std::uint16_t> share; ///< of conifer, ten-thousandths
    std::span<const float> points;        ///< what clearing the cell saves; NaN: nothing known
    std::span<const std::uint8_t> ring;   ///< nearest ring that reaches the cell, from 0
    /// Of each cell, how much of it may be treated, rounded down; empty: all of every cell.
    std::span<const std::uint8_t> hundredths{};
};

/// One block as the plan keeps it: conifer cells in rows, zones in runs. k numbers its conifer
/// cells by row and column; five bytes each where they have no more than 256 different shares and
/// rings, else six, since a town has a hundred million of them.
/// Law: row_first and run_first have rows + 1 numbers, best_key one for each row; key and low one
/// for each conifer cell, high as well or none. A share, at most 10,000, fits 14 bits.
struct Block {
    CellRect rect;
    std::int64_t cell_area = 0;              ///< in 1e-5 m2
    std::vector<std::uint64_t> conifer_bits; ///< words_per_row to a row
    std::vector<std::uint32_t> row_first;    ///< conifer cells before each row
    std::vector<Key> key;
    std::vector<Key> best_key;              ///< of a row, when it was made: keys only ever vanish
    std::vector<std::uint16_t> share_rings; ///< shares, and rings (at most 3) in the top two bits
    std::vector<std::uint8_t> low;          ///< which of share_rings a cell has
    std::vector<std::uint8_t> high;         ///< times 256; empty: 0
    struct Run {
        std::uint16_t end; ///< first column (of the block) behind it
        ZoneId zone;
    };
    std::vector<std::uint32_t> run_first;
    std::vector<Run> runs;

    static constexpr int words_per_row = block_cells / 64;
    std::uint16_t share_ring(std::size_t k) const
    {
        return share_rings[high.empty() ? low[k] : std::size_t{high[k]} << 8 | low[k]];
    }
    std::uint16_t share(std::size_t k) const { return share_ring(k) & 0x3fff; }
    int ring(std::size_t k) const { return share_ring(k) >> 14; }
    /// Keeps them for all cells, once.
    void set_share_rings(const std::vector<std::uint16_t>& of_cells);
    std::int64_t conifer(std::size_t k) const { return share(k) * cell_area; } ///< conifer_unit_m2

    /// Row and column of conifer cell k, of the block.
    std::pair<int, int> place_of(std::size_t k) const;

    /// Calls visit(col, k) for each conifer cell of a row (of the block) in [from, to).
    template <typename Visit>
    void conifers(int row, int from, int to, Visit&& visit) const
    {
        std::size_t k = row_first[static_cast<std::size_t>(row)];
        const std::uint64_t* words = &conifer_bits[static_cast<std::size_t>(row) * words_per_row];
        int w = 0;
        for (; w < from / 64; ++w)
            k += static_cast<std::size_t>(std::popcount(words[w]));
        for (; w * 64 < to; ++w)
            for (std::uint64_t bits = words[w]; bits != 0; bits &= bits - 1, ++k) {
                const int col = w * 64 + std::countr_zero(bits);
                if (col >= from && col < to)
                    visit(col, k);
            }
    }
    /// Calls visit(from, to, k, zone) for stretches of conifer cells of one zone, which k and the
    /// numbers behind it have, by column of the block; none is longer than a word of bits.
    template <typename Visit>
    void stretches(int row, Visit&& visit) const
    {
        std::size_t k = row_first[static_cast<std::size_t>(row)];
        const Run* run = runs.data() + run_first[static_cast<std::size_t>(row)];
        const std::uint64_t* words = &conifer_bits[static_cast<std::size_t>(row) * words_per_row];
        for (int w = 0; w < words_per_row; ++w)
            for (std::uint64_t bits = words[w]; bits != 0;) {
                int from = w * 64 + std::countr_zero(bits);
                const int to = from + std::countr_one(bits >> (from % 64));
                bits = to % 64 == 0 ? 0 : bits & (~std::uint64_t{0} << (to % 64));
                while (from < to) {
                    while (run->end <= from)
                        ++run;
                    const int end = std::min<int>(to, run->end);
                    visit(from, end, k, run->zone);
                    k += static_cast<std::size_t>(end - from);
                    from = end;
                }
            }
    }
    /// Calls visit(row, col, k, zone) for every conifer cell, by row and column of the block.
    template <typename Visit>
    void each_conifer(Visit&& visit) const
    {
        std::array<ZoneId, block_cells> zone_of{};
        for (int row = 0; row < static_cast<int>(rect.rows); ++row) {
            if (row_first[static_cast<std::size_t>(row)] ==
                row_first[static_cast<std::size_t>(row) + 1])
                continue;
            zones(row, 0, block_cells, [&](int from, int to, ZoneId zone) {
                std::fill(zone_of.begin() + from, zone_of.begin() + to, zone);
            });
            conifers(row, 0, block_cells, [&](int col, std::size_t k) {
                visit(row, col, k, zone_of[static_cast<std::size_t>(col)]);
            });
        }
    }
    /// Calls visit(from, to, zone) for each stretch of one zone of a row in [from, to).
    template <typename Visit>
    void zones(int row, int from, int to, Visit&& visit) const
    {
        const auto row_begin = runs.begin() + run_first[static_cast<std::size_t>(row)];
        const auto row_end = runs.begin() + run_first[static_cast<std::size_t>(row) + 1];
        auto run =
            std::partition_point(row_begin, row_end, [&](const Run& r) { return r.end <= from; });
        for (int begin = from; run != row_end && begin < to; begin = run->end, ++run)
            visit(begin, std::min<int>(run->end, to), run->zone);
    }
};

/// What a part of a cell has of its conifers, in ten-thousandths of the cell, rounded down.
/// Law: the parts of a cell together have no more than the cell.
inline std::uint16_t share_of_part(std::uint16_t share, std::uint8_t hundredths)
{
    return static_cast<std::uint16_t>(std::uint32_t{share} * hundredths / 100);
}

/// Thinning: what is left of a cell's conifers, 0 to 1, and what that makes of a share, rounded to
/// ten-thousandths.
struct Residual {
    double share = 0;
    /// Requires: 0 <= share <= 1. Law: between 0 and conifer_share.
    std::int32_t of(std::int32_t conifer_share) const;
};

/// What blocks keep of a cell's area, in 1e-5 m2.
std::int64_t cell_area_of(double cell_m2);

/// Makes the block that the plan keeps. `cost_per_m2[zone]` is what a square metre of conifer costs
/// there, in units of the budget; above 0. `residual[zone]` is what thinning leaves there. Cells
/// whose conifers may not or need not be touched stay conifers without a key; of those that may be
/// treated in part the block holds that part. Gain per cost is linear in what is removed, so a
/// thinned cell has the key of its points times the removed share.
/// Unit of a key: points per unit of the budget. cell_m2 is rounded to 1e-5 m2.
/// Requires: spans as BlockFacts says; a cost for every zone that occurs. Nothing is checked.
Block make_block(const BlockFacts& facts, std::span<const double> cost_per_m2,
                 std::span<const Residual> residual);

/// Runs work(next) on some threads, where next() gives 0 to count - 1, each once, then `count`.
using ShareOut = std::function<void(
    std::size_t count, const std::function<void(const std::function<std::size_t()>&)>& work)>;

/// Calls work(k) for each k below `count`, shared out to the threads.
/// `work` must not mind in which order and in which thread it is called.
template <typename Work>
void for_each_shared(const ShareOut& share_out, std::size_t count, Work&& work)
{
    share_out(count, [&](const std::function<std::size_t()>& next) {
        for (std::size_t k = next(); k < count; k = next())
            work(k);
    });
}

/// All cells near structures, in blocks of the grid that hold some. Read by many threads once
/// `set_blocks` is done.
class PlanGrid {
public:
    /// `cell_width_m`, `cell_height_m`: of the ground, to judge gaps by. `money_per_m2`: by zone as
    /// well, where a plan has costs; it may count another budget all the same.
    PlanGrid(double cell_width_m, double cell_height_m, std::vector<double> cost_per_m2,
             std::vector<double> money_per_m2 = {})
        : width_m_(cell_width_m), height_m_(cell_height_m), cost_per_m2_(std::move(cost_per_m2)),
          money_per_m2_(std::move(money_per_m2))
    {}
    /// Takes the blocks over, in any order; they are kept by row, then column.
    /// Once. Requires: corners at multiples of block_cells, no two the same.
    void set_blocks(std::vector<Block> blocks);

    const std::vector<Block>& blocks() const { return blocks_; }
    /// To take keys away (bounds_of); nothing else may change.
    std::vector<Block>& blocks() { return blocks_; }
    /// The block that holds a cell; null where no block is kept.
    /// Cost: log(blocks).
    const Block* block_at(std::int64_t row, std::int64_t col) const
    {
        const auto at = index_.find({row / block_cells, col / block_cells});
        return row < 0 || col < 0 || at == index_.end() ? nullptr : &blocks_[at->second];
    }
    /// Of a block of this grid, its place in blocks().
    std::size_t number_of(const Block& block) const
    {
        return static_cast<std::size_t>(&block - blocks_.data());
    }
    /// Metres of the ground.
    double cell_width_m() const { return width_m_; }
    double cell_height_m() const { return height_m_; }
    double cost_per_m2(ZoneId zone) const { return cost_per_m2_[zone]; }
    /// In units of the budget, of so much conifer (conifer_unit_m2). Fixed costs come on top.
    double cost(ZoneId zone, std::int64_t conifer) const
    {
        return cost_per_m2_[zone] * (conifer_unit_m2 * static_cast<double>(conifer));
    }
    /// The same in money; 0 where the plan has no costs.
    double money(ZoneId zone, std::int64_t conifer) const
    {
        return money_per_m2_.empty()
                   ? 0
                   : money_per_m2_[zone] * (conifer_unit_m2 * static_cast<double>(conifer));
    }
    /// The most conifers that one cell can hold.
    /// A whole share of the largest cell, in conifer_unit_m2.
    std::int64_t fullest_cell() const;
    /// What treating a conifer cell saves, in points_unit.
    /// Source: key x cost, the ratio times what it was divided by; to the rounding of a float.
    std::int64_t points(const Block& block, std::size_t k, ZoneId zone) const
    {
        return std::llrint(ratio_of(block.key[k]) * cost(zone, block.conifer(k)) / points_unit);
    }

private:
    double width_m_;
    double height_m_;
    std::vector<double> cost_per_m2_; ///< by zone; [no_zone] is unused
    std::vector<double> money_per_m2_;
    std::vector<Block> blocks_;
    std::map<std::pair<std::int64_t, std::int64_t>, std::size_t> index_;
};

/// Calls visit(block, part) for each kept block that meets a rectangle, row by row.
template <typename Visit>
void for_each_block(const PlanGrid& grid, const CellRect& rect, Visit&& visit)
{
    const auto first = [](std::int64_t v) { return v < 0 ? 0 : v / block_cells; };
    for (std::int64_t r = first(rect.row); r * block_cells < rect.row + rect.rows; ++r)
        for (std::int64_t c = first(rect.col); c * block_cells < rect.col + rect.cols; ++c)
            if (const Block* block = grid.block_at(r * block_cells, c * block_cells))
                if (const CellRect part = intersection(rect, block->rect); !part.empty())
                    visit(*block, part);
}

} // namespace fuelring::plan
