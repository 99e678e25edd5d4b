// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/labelling.hpp"
#include "raster/fuel_corrections.hpp"

#include <fuelring/footprint.hpp>

#include <cstdint>
#include <functional>
#include <vector>

namespace fuelring::plan {

/// What makes a set of cells a unit that a crew can be sent to, and what is paid for it.
struct UnitRules {
    double smallest_m2 = 10;    ///< of treated conifer; planning default
    double gap_m = 5;           ///< open ground that a unit may bridge; planning default
    double fixed_cost = 0;      ///< of each unit, in units of the budget
    double largest_m2 = 10'000; ///< of treated conifer; planning default
    int steps_per_cost = 100;   ///< whole steps of a budget unit that costs are rounded up to
    double fixed_money = 0;     ///< of each unit, where the budget is not money

    /// Rounded to the nearest unit.
    std::int64_t smallest() const; ///< in conifer_unit_m2
    /// The most that a unit holds, in conifer_unit_m2: never less than a cell.
    std::int64_t largest(const PlanGrid& grid) const;
};

using fuelring::CellRun;

/// Appends a run; it becomes one with the last where that ends just before it.
/// Requires: the run does not lie before the last one.
void append(std::vector<CellRun>& runs, const CellRun& run);
/// By row and column; runs that touch in a row become one.
void put_in_order(std::vector<CellRun>& runs);
/// The smallest rectangle that holds all of them.
/// Empty without runs.
CellRect box_of(const std::vector<CellRun>& runs);

/// Calls visit(block, k) for each conifer cell that the grid keeps of some runs.
template <typename Visit>
void for_each_conifer(const PlanGrid& grid, const std::vector<CellRun>& runs, Visit&& visit)
{
    for (const CellRun& run : runs)
        for_each_block(grid, run.rect(), [&](const Block& block, const CellRect& part) {
            const int from = static_cast<int>(part.col - block.rect.col);
            block.conifers(static_cast<int>(part.row - block.rect.row), from,
                           from + static_cast<int>(part.cols),
                           [&](int, std::size_t k) { visit(block, k); });
        });
}
/// Area of some runs on the ground, in 1e-5 m2.
/// Counts cells that some block keeps; others have no area here.
std::int64_t cell_area_of(const PlanGrid& grid, const std::vector<CellRun>& runs);

/// Slices of a strip along a line; none where a unit is a patch.
struct StripPlace {
    std::uint32_t line = 0;
    std::uint32_t first = 0;
    std::uint32_t end = 0; ///< behind the last one

    bool is_strip() const { return end > first; }
};

/// A treatment unit: whole cells of one zone that share edges all through.
struct Unit {
    ZoneId zone = no_zone;
    std::vector<CellRun> treated;          ///< by row, column
    std::vector<CellRun> bridges;          ///< open cells that join them; nothing is cut there
    std::vector<CellRect> bridge_limits{}; ///< where bridges may run; anywhere where empty
    std::int64_t conifer = 0;              ///< conifer_unit_m2
    std::int64_t points = 0;               ///< points_unit
    std::int64_t cell_area = 0;            ///< sum over all its cells, 1e-5 m2
    double cost = 0;  ///< units of the budget, with the fixed cost, rounded up to a whole step
    double money = 0; ///< the same in money, rounded up to the cent; 0 without costs
    std::uint32_t required = 0; ///< number of the area that has to be treated; 0: it was chosen
    StripPlace strip{};         ///< where it is one
    int year = 0;               ///< in which it is treated; 0: nobody said

    /// Whole thousandths of a square metre: what is written, and what sums are made of.
    std::int64_t conifer_in_milli_m2() const { return (conifer + 500'000) / 1'000'000; }
    double conifer_m2() const { return static_cast<double>(conifer_in_milli_m2()) / 1e3; }
    double removed_points() const { return points_unit * static_cast<double>(points); }
    double area_m2() const { return 1e-5 * static_cast<double>(cell_area); }
};

class ChosenCells;

/// The units of what is chosen, without bridges. What hangs together is one unit; what has more
/// than the largest size, or is longer than four times the side of a square of that size, is laid
/// out in pieces for a crew each (crew_pieces.hpp). Law: none has more conifers than the largest
/// size; depends on the arguments alone. Costs and money are set.
std::vector<Unit> units_of(const PlanGrid& grid, const ChosenCells& chosen, const UnitRules& rules,
                           const ShareOut& share_out);
/// The same, one thing that hangs together after the other: calls visit(number, units) from any
/// thread and in any order.
void lay_out(const PlanGrid& grid, const ChosenCells& chosen, const UnitRules& rules,
             const ShareOut& share_out,
             const std::function<void(std::size_t, std::vector<Unit>)>& visit);

/// Sets what a unit costs, in both, from its zone and its conifers.
void set_cost(const PlanGrid& grid, const UnitRules& rules, Unit& unit);

/// The open cells over which the patches of a unit are joined: the shortest ways, as few as it
/// takes (a minimum spanning tree), ties by row and column.
/// Law: treated and bridging cells together are one patch of cells that share edges.
/// Throws: std::logic_error where the gap does not join the unit.
/// Shape: runs by row, then column; none where the treated cells are one patch already.
/// Source: Kruskal, On the shortest spanning subtree of a graph, Proceedings of the American
/// Mathematical Society 7, 1956.
std::vector<CellRun> bridges_of(const PlanGrid& grid, const Unit& unit, double gap_m);

/// The treated cells in the parts that gaps within bridge_limits join; each a unit without sums.
/// Law: one part or more; they hold every treated cell once, in the order of their first cells.
std::vector<Unit> split_by_gaps(const PlanGrid& grid, const Unit& unit, double gap_m);

/// Builds the bridges of units. Throws: std::logic_error where a unit's patches are not joined by
/// its gap.
void build_bridges(const PlanGrid& grid, const UnitRules& rules, const ShareOut& share_out,
                   std::vector<Unit>& units);
/// Puts the best value for money first; ties by row, then column.
void sort_by_value(std::vector<Unit>& units);

/// The outline of a patch of cells that share edges, in columns (x) and rows (y, downwards): every
/// loop has the cells to its right; loops are simple and touch in points at most.
/// `a` and `b`: treated and bridging cells, no cell in both. Corners only: no vertex lies on a
/// straight line between its neighbours. Law: the area inside is the number of cells.
std::vector<Loop> outline_of_cells(const std::vector<CellRun>& a, const std::vector<CellRun>& b);

/// Whether cells hang together by shared edges.
/// Requires: by row, column; runs do not overlap.
bool is_one_patch(const std::vector<CellRun>& cells);

/// The same of cells that need not be one patch: loops of each of their patches.
/// Requires: by row, column; runs do not overlap.
std::vector<Loop> outline_of_patches(const std::vector<CellRun>& cells);

} // namespace fuelring::plan
