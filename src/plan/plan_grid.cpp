// SPDX-License-Identifier: Apache-2.0

// What a plan holds of the ground. A town of 200,000 structures has a hundred million conifer cells
// within reach, so a cell has five bytes: its key, and the number of its share and ring. What it
// saves follows from both, to the rounding of a float, which is what the surface file carries.
// Zones are long runs.
#include "plan/plan_grid.hpp"

#include <algorithm>
#include <cmath>

namespace fuelring::plan {

namespace {

constexpr double area_unit_m2 = 1e-5;
constexpr int most_rings_told_apart = 4;

} // namespace

std::int32_t Residual::of(std::int32_t conifer_share) const
{
    return static_cast<std::int32_t>(std::lround(share * conifer_share));
}

std::int64_t cell_area_of(double cell_m2)
{
    return std::llround(cell_m2 / area_unit_m2);
}

namespace {

/// A conifer cell: its key, and the share that may be treated; all of it where none of it pays.
struct PricedCell {
    Key key = 0;
    std::uint16_t share = 0;
};

PricedCell priced(const BlockFacts& facts, std::size_t at, double cost_per_m2,
                  const Residual& residual, std::int64_t cell_area)
{
    const std::uint16_t whole = facts.share[at];
    const std::uint16_t share =
        facts.hundredths.empty() ? whole : share_of_part(whole, facts.hundredths[at]);
    const std::int32_t removed = share - residual.of(share);
    if (facts.zone[at] == no_zone || removed <= 0 || !(facts.points[at] > 0))
        return {0, whole};
    const double cost = cost_per_m2 * conifer_unit_m2 * static_cast<double>(share * cell_area);
    // Points are those of the whole share; the cost of thinning is that of all it goes through.
    return {key_of(static_cast<double>(facts.points[at]) * removed / whole / cost), share};
}

} // namespace

Block make_block(const BlockFacts& facts, std::span<const double> cost_per_m2,
                 std::span<const Residual> residual)
{
    Block block;
    block.rect = facts.rect;
    block.cell_area = cell_area_of(facts.cell_m2);
    block.conifer_bits.assign(static_cast<std::size_t>(facts.rect.rows) * Block::words_per_row, 0);
    std::vector<std::uint16_t> share_rings;
    std::size_t at = 0;
    for (std::size_t row = 0; row < static_cast<std::size_t>(facts.rect.rows); ++row) {
        block.row_first.push_back(static_cast<std::uint32_t>(block.key.size()));
        block.run_first.push_back(static_cast<std::uint32_t>(block.runs.size()));
        Key& best = block.best_key.emplace_back(0);
        for (std::size_t col = 0; col < static_cast<std::size_t>(facts.rect.cols); ++col, ++at) {
            const ZoneId zone = facts.zone[at];
            if (col == 0 || block.runs.back().zone != zone)
                block.runs.push_back({0, zone});
            block.runs.back().end = static_cast<std::uint16_t>(col + 1);
            if (facts.share[at] == 0)
                continue;
            block.conifer_bits[row * Block::words_per_row + col / 64] |= std::uint64_t{1}
                                                                         << (col % 64);
            const PricedCell cell =
                priced(facts, at, cost_per_m2[zone], residual[zone], block.cell_area);
            const auto ring = std::min<int>(facts.ring[at], most_rings_told_apart - 1);
            block.key.push_back(cell.key);
            best = std::max(best, cell.key);
            share_rings.push_back(static_cast<std::uint16_t>(cell.share | (ring << 14)));
        }
    }
    block.row_first.push_back(static_cast<std::uint32_t>(block.key.size()));
    block.run_first.push_back(static_cast<std::uint32_t>(block.runs.size()));
    block.key.shrink_to_fit();
    block.set_share_rings(share_rings);
    block.runs.shrink_to_fit();
    return block;
}

void Block::set_share_rings(const std::vector<std::uint16_t>& of_cells)
{
    constexpr std::size_t most_of_one_byte = 256;
    std::vector<std::uint8_t> occurs(std::size_t{UINT16_MAX} + 1);
    for (const std::uint16_t value : of_cells)
        occurs[value] = 1;
    std::vector<std::uint16_t> place(occurs.size());
    for (std::size_t value = 0; value < occurs.size(); ++value)
        if (occurs[value]) {
            place[value] = static_cast<std::uint16_t>(share_rings.size());
            share_rings.push_back(static_cast<std::uint16_t>(value));
        }
    low.resize(of_cells.size());
    high.resize(share_rings.size() > most_of_one_byte ? of_cells.size() : 0);
    for (std::size_t k = 0; k < of_cells.size(); ++k)
        low[k] = static_cast<std::uint8_t>(place[of_cells[k]]);
    for (std::size_t k = 0; k < high.size(); ++k)
        high[k] = static_cast<std::uint8_t>(place[of_cells[k]] >> 8);
}

std::pair<int, int> Block::place_of(std::size_t k) const
{
    const auto after = std::upper_bound(row_first.begin(), row_first.end(), k);
    const auto row = static_cast<int>(after - row_first.begin()) - 1;
    std::size_t left = k - *std::prev(after);
    const std::uint64_t* word = &conifer_bits[static_cast<std::size_t>(row) * words_per_row];
    int col = 0;
    for (; left >= static_cast<std::size_t>(std::popcount(*word)); ++word, col += 64)
        left -= static_cast<std::size_t>(std::popcount(*word));
    std::uint64_t bits = *word;
    for (; left > 0; --left)
        bits &= bits - 1;
    return {row, col + std::countr_zero(bits)};
}

void PlanGrid::set_blocks(std::vector<Block> blocks)
{
    blocks_ = std::move(blocks);
    std::sort(blocks_.begin(), blocks_.end(), [](const Block& a, const Block& b) {
        return std::pair{a.rect.row, a.rect.col} < std::pair{b.rect.row, b.rect.col};
    });
    for (std::size_t k = 0; k < blocks_.size(); ++k)
        index_[{blocks_[k].rect.row / block_cells, blocks_[k].rect.col / block_cells}] = k;
}

std::int64_t PlanGrid::fullest_cell() const
{
    constexpr std::int64_t whole_share = 10'000;
    std::int64_t most = 0;
    for (const Block& block : blocks_)
        most = std::max(most, whole_share * block.cell_area);
    return most;
}

} // namespace fuelring::plan
