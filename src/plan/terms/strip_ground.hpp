// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/terms/choice_ground.hpp"

#include <cstdint>
#include <vector>

namespace fuelring::plan {

/// A short piece of the strip along a line, across its whole width.
struct StripSlice {
    ZoneId zone = no_zone;        ///< whose it is; no_zone: no strip leads through it
    double length_m = 0;          ///< along the line
    std::int64_t conifer = 0;     ///< that may be treated, conifer_unit_m2
    std::int64_t points = 0;      ///< points_unit
    std::int64_t cell_area = 0;   ///< of its cells, 1e-5 m2
    std::vector<CellRun> cells{}; ///< with conifers, a run for each one
};
/// Slices from one end of a line to the other.
using StripLine = std::vector<StripSlice>;

/// Ground whose units are stretches of lines, of a least length each and in one zone. For a price
/// the best choice is exact: a stretch that ends behind a slice is worth the surplus of its slices
/// less its fixed cost, so one pass along a line finds the best set of them (dynamic programming;
/// Bellman, Dynamic Programming, 1957). Cells of units are sorted and told once; Unit::strip says
/// which slices they are made of. A block of land that is treated as a whole is a line of one
/// slice.
class StripGround : public ChoiceGround {
public:
    /// `grid` gives the costs of zones. All but `lines` must outlive it.
    StripGround(const PlanGrid& grid, const UnitRules& rules, std::vector<StripLine> lines,
                double least_length_m)
        : grid_(grid), rules_(rules), lines_(std::move(lines)), least_length_m_(least_length_m)
    {}
    std::unique_ptr<ChoiceGround> copy() const override;
    /// Halves prices in on the budget, then spends what is left slice by slice.
    std::vector<Unit> within(double budget) const override;
    std::vector<Unit> at_price(Key key) const override;
    void close(const std::vector<std::uint8_t>& zones, bool of_these) override;
    void take(const std::vector<Unit>& units) override;

    /// Points that no choice of such stretches removes within a budget.
    /// Source: the Lagrangian bound, as in bounds.hpp; each price gives one, the least counts.
    double most_points(double budget) const;

private:
    struct AtPrice {
        std::vector<Unit> units; ///< without cells
        double surplus =
            0; ///< of all lines: points less price times cost, before rounding of costs
    };
    AtPrice choose(double price) const;
    /// Zone, sums and costs of a stretch; `unit_of` has its cells, too.
    Unit sums_of(const StripPlace& place) const;
    Unit unit_of(const StripPlace& place) const;
    /// Above it no slice is worth its cost.
    double highest_price() const;

    const PlanGrid& grid_;
    const UnitRules& rules_;
    std::vector<StripLine> lines_;
    double least_length_m_;
};

} // namespace fuelring::plan
