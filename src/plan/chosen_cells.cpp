// SPDX-License-Identifier: Apache-2.0

// Components stand by their roots, groups behind them; what a group touches it is united with.
// Everything is then numbered by its first cell, and runs are sorted into these numbers.
#include "plan/chosen_cells.hpp"

#include "base/disjoint_sets.hpp"

#include <algorithm>
#include <limits>

namespace fuelring::plan {

namespace {

using Sets = DisjointSets<std::uint32_t>;
constexpr std::uint64_t nowhere = UINT64_MAX;

/// Block, row and column in one number, in this order.
std::uint64_t place_number(std::size_t block, int row, int col)
{
    return (std::uint64_t{block} << 32) | (static_cast<std::uint64_t>(row) << 16) |
           static_cast<std::uint64_t>(col);
}

/// Components by root, groups from `first_group` on.
Sets unite_groups(const GrownGroups& grown, std::uint32_t first_group)
{
    const std::vector<GrownGroup>& groups = grown.groups;
    Sets sets{first_group + groups.size()};
    for (std::uint32_t g = 0; g < groups.size(); ++g) {
        for (const std::uint32_t other : groups[g].earlier)
            sets.unite(first_group + g, first_group + other);
        for (const std::uint32_t root : groups[g].grown.beside_kept)
            sets.unite(first_group + g, root);
        for (const GrownCell& cell : groups[g].grown.beside)
            if (const auto at = grown.group_of.find(cell.number()); at != grown.group_of.end())
                sets.unite(first_group + g, first_group + at->second);
    }
    return sets;
}

/// Calls visit(member, block, row, col, cells) for each run of what is chosen, in places of blocks;
/// of components by block, row and column, then of groups.
template <typename Visit>
void each_run(const PlanGrid& grid, const Labelling& labelling,
              const std::vector<std::uint8_t>& kept, const std::vector<GrownGroup>& groups,
              Visit&& visit)
{
    for (std::size_t b = 0; b < grid.blocks().size(); ++b)
        labelling.runs(b, [&](int row, int col, int cells, std::uint32_t part) {
            if (const std::uint32_t root = labelling.root(part); kept[root])
                visit(root, b, row, col, cells);
        });
    auto member = static_cast<std::uint32_t>(labelling.parts());
    for (const GrownGroup& group : groups) {
        for (const GrownCell& cell : group.grown.cells)
            visit(member, std::size_t{cell.block}, int{cell.row}, int{cell.col}, 1);
        ++member;
    }
}

} // namespace

ChosenCells::ChosenCells(const PlanGrid& grid, const Labelling& labelling,
                         const std::vector<std::uint8_t>& kept, const GrownGroups& grown)
{
    const auto first_group = static_cast<std::uint32_t>(labelling.parts());
    const std::vector<GrownGroup>& groups = grown.groups;
    Sets sets = unite_groups(grown, first_group);
    std::vector<std::uint64_t> first_cell(sets.size(), nowhere);
    each_run(grid, labelling, kept, groups,
             [&](std::uint32_t member, std::size_t b, int row, int col, int) {
                 std::uint64_t& first = first_cell[sets.find(member)];
                 first = std::min(first, place_number(b, row, col));
             });
    std::vector<std::pair<std::uint64_t, std::uint32_t>> order; // by first cell
    for (std::uint32_t member = 0; member < first_cell.size(); ++member)
        if (first_cell[member] != nowhere)
            order.emplace_back(first_cell[member], member);
    std::sort(order.begin(), order.end());
    std::vector<std::uint32_t> number(sets.size()); // by member
    for (std::uint32_t n = 0; n < order.size(); ++n)
        number[order[n].second] = n;
    for (std::uint32_t member = 0; member < number.size(); ++member)
        number[member] = number[sets.find(member)];

    sums_.resize(order.size() + 1);
    const auto add = [&](std::uint32_t member, ZoneId zone, std::int64_t conifer,
                         std::int64_t points) {
        Sums& sums = sums_[number[member]];
        sums.zone = zone;
        sums.conifer += conifer;
        sums.points += points;
    };
    for (std::uint32_t part = 0; part < first_group; ++part)
        if (labelling.is_root(part) && kept[part])
            add(part, labelling.whole(part).zone, labelling.whole(part).conifer,
                labelling.whole(part).points);
    for (std::uint32_t g = 0; g < groups.size(); ++g)
        add(first_group + g, groups[g].grown.zone, groups[g].grown.conifer, groups[g].grown.points);

    each_run(grid, labelling, kept, groups, [&](std::uint32_t member, std::size_t, int, int, int) {
        ++sums_[number[member] + 1].first_run;
    });
    for (std::size_t n = 1; n < sums_.size(); ++n)
        sums_[n].first_run += sums_[n - 1].first_run;
    runs_.resize(sums_.back().first_run);
    std::vector<std::uint32_t> next;
    for (const Sums& sums : sums_)
        next.push_back(sums.first_run);
    each_run(grid, labelling, kept, groups,
             [&](std::uint32_t member, std::size_t b, int row, int col, int cells) {
                 const std::uint32_t n = number[member];
                 const Block& block = grid.blocks()[b];
                 runs_[next[n]++] = {static_cast<std::uint32_t>(block.rect.row + row),
                                     static_cast<std::uint32_t>(block.rect.col + col),
                                     static_cast<std::uint32_t>(cells)};
                 sums_[n].cell_area += cells * block.cell_area;
             });
}

Unit ChosenCells::unit(std::size_t number) const
{
    const Sums& sums = sums_[number];
    Unit unit;
    unit.zone = sums.zone;
    unit.conifer = sums.conifer;
    unit.points = sums.points;
    unit.cell_area = sums.cell_area;
    unit.treated.reserve(sums_[number + 1].first_run - sums.first_run);
    for (std::uint32_t k = sums.first_run; k < sums_[number + 1].first_run; ++k)
        unit.treated.push_back({runs_[k].row, runs_[k].col, runs_[k].cells});
    put_in_order(unit.treated);
    return unit;
}

} // namespace fuelring::plan
