// SPDX-License-Identifier: Apache-2.0

// Sharing a community out. Structures and blocks of the surface are put in order along Hilbert's
// curve through the cells, which keeps neighbours together, and the order is cut where the work so
// far reaches each N-th of all. A block stands where the curve enters it, so that it mostly goes
// to whoever has its structures. What a structure costs is estimated from its footprint, the cells
// that its rings cross, and how many others stand near it, which is what uniting them takes; only
// the balance depends on how good that is, no result.
#include "run/schedule/shard_plan.hpp"

#include "io/cog/cog_writer.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>
#include <numbers>
#include <tuple>
#include <unordered_map>
#include <utility>

namespace fuelring {

namespace {

// About tenths of a microsecond, set by hand so that shards of the countryside of
// scripts/benchmark_scale take equally long.
constexpr double work_of_structure = 250;
constexpr double work_of_vertex = 20;
constexpr double work_of_crossing = 0.3; ///< of a ring with an edge of a cell
constexpr double work_of_neighbour = 60;
constexpr double work_of_draw = 60;
constexpr double work_of_block = 30'000;
constexpr double work_of_reaching = 300; ///< a structure whose rings reach a block

/// How many structures stand in the square of three bins by three around each, bins as wide as the
/// widest ring reaches.
class Crowd {
public:
    Crowd(const Community& community, double reach_cells)
        : bin_(std::max<std::int64_t>(1, std::llround(reach_cells)))
    {
        for (const Structure& s : community.structures)
            ++count_[key(bin_of(s.frame.col), bin_of(s.frame.row))];
    }

    std::int64_t around(const CellFrame& frame) const
    {
        std::int64_t sum = 0;
        for (std::int64_t row = bin_of(frame.row) - 1; row <= bin_of(frame.row) + 1; ++row)
            for (std::int64_t col = bin_of(frame.col) - 1; col <= bin_of(frame.col) + 1; ++col)
                if (const auto at = count_.find(key(col, row)); at != count_.end())
                    sum += at->second;
        return sum;
    }

private:
    std::int64_t bin_of(std::int64_t cell) const { return floor_div(cell, bin_); }
    static std::uint64_t key(std::int64_t col, std::int64_t row)
    {
        return static_cast<std::uint64_t>(row) << 32 ^
               (static_cast<std::uint64_t>(col) & 0xffffffffU);
    }

    std::int64_t bin_;
    std::unordered_map<std::uint64_t, std::int64_t> count_;
};

class Work {
public:
    Work(const Community& community, const Grid& grid, const RingPlan& rings, double furthest_m,
         int draws)
        : draws_(draws), cell_m_(std::min(grid.cell_width_m(), grid.cell_height_m())),
          crowd_(community, furthest_m / cell_m_)
    {
        double radii_m = 0;
        for (const double outer_m : rings.outer_m)
            radii_m += outer_m;
        // A circle of radius r crosses 8 r / cell grid lines, an outline its perimeter's more.
        crossings_of_rings_ = 8 * radii_m / cell_m_;
        outlines_ = static_cast<double>(rings.outer_m.size()) + 1;
    }

    std::uint64_t of(const Structure& s) const
    {
        double vertices = 0;
        for (const Loop& loop : s.footprint.loops)
            vertices += static_cast<double>(loop.size());
        const double crossings = crossings_of_rings_ + outlines_ * 4 / std::numbers::pi *
                                                           perimeter_m(s.footprint) / cell_m_;
        const double walk = work_of_vertex * vertices + work_of_crossing * crossings;
        return static_cast<std::uint64_t>(work_of_structure + walk +
                                          work_of_neighbour *
                                              static_cast<double>(crowd_.around(s.frame)) +
                                          draws_ * (work_of_draw + work_of_crossing * crossings));
    }
    static std::uint64_t of_block(std::size_t structures)
    {
        return static_cast<std::uint64_t>(work_of_block +
                                          work_of_reaching * static_cast<double>(structures));
    }

private:
    double draws_;
    double cell_m_;
    double crossings_of_rings_ = 0;
    double outlines_ = 0;
    Crowd crowd_;
};

/// A structure or a block of the surface, with its place along the curve.
struct Item {
    std::uint64_t key = 0;
    std::uint64_t work = 0;
    std::uint32_t number = 0;
    bool is_structure = false;
};

/// Keys of cells, on and off the raster.
class Curve {
public:
    /// `low`, `high`: the smallest and largest column and row.
    Curve(CellFrame low, CellFrame high)
        : low_{aligned(low.col), aligned(low.row)},
          bits_(bits_for(std::max(high.col - low_.col, high.row - low_.row)))
    {}
    std::uint64_t key(std::int64_t col, std::int64_t row) const
    {
        return hilbert_key(static_cast<std::uint32_t>(col - low_.col),
                           static_cast<std::uint32_t>(row - low_.row), bits_);
    }
    /// Where the curve enters the block.
    std::uint64_t key_of_block(std::int64_t col, std::int64_t row) const
    {
        // A block is a square of 2^k cells on the curve's own lattice, so the curve runs through
        // it in one piece, and all its keys have the same leading bits.
        constexpr int in_block = std::countr_zero(static_cast<unsigned>(out_block_cells));
        const std::uint64_t key_in = key(col * out_block_cells, row * out_block_cells);
        return key_in >> (2 * in_block) << (2 * in_block);
    }

private:
    static int bits_for(std::int64_t side)
    {
        constexpr int most = 32;
        return std::min(most, static_cast<int>(std::bit_width(static_cast<std::uint64_t>(side))));
    }
    static std::int64_t aligned(std::int64_t cell)
    {
        return floor_div(cell, out_block_cells) * out_block_cells;
    }
    CellFrame low_;
    int bits_;
};

Curve curve_through(const Community& community, const TileIndex& blocks)
{
    constexpr std::int64_t most = std::numeric_limits<std::int64_t>::max();
    CellFrame low{most, most};
    CellFrame high{-most, -most};
    const auto take = [&](std::int64_t col, std::int64_t row) {
        low = {std::min(low.col, col), std::min(low.row, row)};
        high = {std::max(high.col, col), std::max(high.row, row)};
    };
    for (const Structure& s : community.structures)
        take(s.frame.col, s.frame.row);
    for (const TileIndex::Tile& t : blocks.tiles()) {
        take(t.col * out_block_cells, t.row * out_block_cells);
        take((t.col + 1) * out_block_cells - 1, (t.row + 1) * out_block_cells - 1);
    }
    return {low, high};
}

std::vector<Item> items_along_curve(const Community& community, const TileIndex& blocks,
                                    const Work& work)
{
    std::vector<Item> items;
    items.reserve(community.structures.size() + blocks.tiles().size());
    const Curve curve = curve_through(community, blocks);
    for (std::size_t i = 0; i < community.structures.size(); ++i) {
        const Structure& s = community.structures[i];
        items.push_back(
            {curve.key(s.frame.col, s.frame.row), work.of(s), static_cast<std::uint32_t>(i), true});
    }
    for (std::size_t t = 0; t < blocks.tiles().size(); ++t) {
        const TileIndex::Tile& tile = blocks.tiles()[t];
        items.push_back({curve.key_of_block(tile.col, tile.row), Work::of_block(tile.count),
                         static_cast<std::uint32_t>(t), false});
    }
    std::sort(items.begin(), items.end(), [](const Item& a, const Item& b) {
        return std::tie(a.key, a.is_structure, a.number) <
               std::tie(b.key, b.is_structure, b.number);
    });
    return items;
}

} // namespace

std::string name_of(const Shard& shard)
{
    return fmt::format("{}/{}", shard.number, shard.of);
}

std::uint64_t hilbert_key(std::uint32_t x, std::uint32_t y, int bits)
{
    std::uint64_t key = 0;
    for (int k = bits; k-- > 0;) {
        const std::uint32_t right = x >> k & 1U;
        const std::uint32_t down = y >> k & 1U;
        key = key << 2 | ((3 * right) ^ down);
        if (down == 0) { // turn the quarter so that the curve goes on where it left
            if (right == 1) {
                x = ~x;
                y = ~y;
            }
            std::swap(x, y);
        }
    }
    return key;
}

ShardPlan::ShardPlan(const Community& community, const Grid& grid, const RingPlan& rings,
                     double furthest_m, int draws, int shards)
    : blocks_(TileIndex::of_reach(community, grid, out_block_cells, rings.widest_m())),
      structures_(static_cast<std::size_t>(shards)), blocks_of_(static_cast<std::size_t>(shards)),
      structure_count_(community.structures.size())
{
    const std::vector<Item> items =
        items_along_curve(community, blocks_, Work{community, grid, rings, furthest_m, draws});
    std::uint64_t all = 0;
    for (const Item& item : items)
        all += item.work;
    std::uint64_t before = 0;
    for (const Item& item : items) { // by the middle of its work
        const std::uint64_t shard =
            (2 * before + item.work) * static_cast<std::uint64_t>(shards) / (2 * all);
        (item.is_structure ? structures_ : blocks_of_)[shard].push_back(item.number);
        before += item.work;
    }
    for (auto* lists : {&structures_, &blocks_of_})
        for (std::vector<std::uint32_t>& list : *lists)
            std::sort(list.begin(), list.end());
}

Share ShardPlan::share(int shard) const
{
    Share share{std::vector<bool>(structure_count_), {}, std::vector<bool>(blocks_.tiles().size())};
    for (const std::uint32_t i : structures_of(shard))
        share.own[i] = true;
    share.measured = share.own;
    for (const std::uint32_t t : blocks_of(shard)) {
        share.blocks[t] = true;
        for (const std::uint32_t i : blocks_.structures(blocks_.tiles()[t]))
            share.measured[i] = true;
    }
    return share;
}

} // namespace fuelring
