// SPDX-License-Identifier: Apache-2.0

// From chosen cells to units: components, laid out in pieces where one is too large for a crew,
// joined by bridges.
#include "plan/units.hpp"

#include "plan/chosen_cells.hpp"
#include "plan/crew_pieces.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace fuelring::plan {

namespace {

/// Rounded up to a whole step; what exceeds a step in its last bits only is that step.
double in_whole_steps(double cost, int steps)
{
    return std::ceil(cost * steps * (1 - 1e-12) - 1e-6) / steps;
}

/// Ratios are compared as products: no quotient is rounded.
bool goes_before(const Unit& a, const Unit& b)
{
    const double ratio_a = a.removed_points() * b.cost;
    const double ratio_b = b.removed_points() * a.cost;
    if (ratio_a != ratio_b)
        return ratio_a > ratio_b;
    return std::tie(a.treated.front().row, a.treated.front().col) <
           std::tie(b.treated.front().row, b.treated.front().col);
}

} // namespace

void append(std::vector<CellRun>& runs, const CellRun& run)
{
    if (!runs.empty() && runs.back().ends_at(run))
        runs.back().cols += run.cols;
    else
        runs.push_back(run);
}

void put_in_order(std::vector<CellRun>& runs)
{
    std::sort(runs.begin(), runs.end(), [](const CellRun& a, const CellRun& b) {
        return std::tie(a.row, a.col) < std::tie(b.row, b.col);
    });
    std::vector<CellRun> joined;
    joined.reserve(runs.size());
    for (const CellRun& run : runs)
        append(joined, run);
    runs = std::move(joined);
}

CellRect box_of(const std::vector<CellRun>& runs)
{
    CellRect box;
    for (const CellRun& run : runs)
        box = hull(box, run.rect());
    return box;
}

std::int64_t cell_area_of(const PlanGrid& grid, const std::vector<CellRun>& runs)
{
    std::int64_t area = 0;
    for (const CellRun& run : runs)
        for_each_block(grid, run.rect(), [&](const Block& block, const CellRect& part) {
            area += part.cols * block.cell_area;
        });
    return area;
}

std::int64_t UnitRules::smallest() const
{
    return std::llround(smallest_m2 / conifer_unit_m2);
}

std::int64_t UnitRules::largest(const PlanGrid& grid) const
{
    return std::max<std::int64_t>(std::llround(largest_m2 / conifer_unit_m2), grid.fullest_cell());
}

void lay_out(const PlanGrid& grid, const ChosenCells& chosen, const UnitRules& rules,
             const ShareOut& share_out,
             const std::function<void(std::size_t, std::vector<Unit>)>& visit)
{
    const CrewPieces crew{grid, rules};
    for_each_shared(share_out, chosen.size(), [&](std::size_t k) {
        std::vector<Unit> pieces{chosen.unit(k)};
        if (!crew.fits(pieces.front()))
            pieces = crew.pieces_of(pieces.front());
        for (Unit& unit : pieces)
            set_cost(grid, rules, unit);
        visit(k, std::move(pieces));
    });
}

std::vector<Unit> units_of(const PlanGrid& grid, const ChosenCells& chosen, const UnitRules& rules,
                           const ShareOut& share_out)
{
    std::vector<std::vector<Unit>> pieces(chosen.size());
    lay_out(grid, chosen, rules, share_out,
            [&](std::size_t k, std::vector<Unit> of_one) { pieces[k] = std::move(of_one); });
    std::vector<Unit> units;
    for (std::vector<Unit>& of_one : pieces)
        std::move(of_one.begin(), of_one.end(), std::back_inserter(units));
    return units;
}

void set_cost(const PlanGrid& grid, const UnitRules& rules, Unit& unit)
{
    constexpr int cents = 100;
    unit.cost =
        in_whole_steps(grid.cost(unit.zone, unit.conifer) + rules.fixed_cost, rules.steps_per_cost);
    unit.money = in_whole_steps(grid.money(unit.zone, unit.conifer) + rules.fixed_money, cents);
}

void build_bridges(const PlanGrid& grid, const UnitRules& rules, const ShareOut& share_out,
                   std::vector<Unit>& units)
{
    for_each_shared(share_out, units.size(), [&](std::size_t k) {
        units[k].bridges = bridges_of(grid, units[k], rules.gap_m);
        units[k].cell_area += cell_area_of(grid, units[k].bridges);
    });
}

void sort_by_value(std::vector<Unit>& units)
{
    std::stable_sort(units.begin(), units.end(), goes_before);
}

} // namespace fuelring::plan
