// SPDX-License-Identifier: Apache-2.0

// Price growth: a price decides which cells are worth it; what hangs together of them is a unit
// where it is large enough, and what is too small grows over the next best cells until it is, and
// is kept if it still pays at that price. Plans of two prices are not nested.
//
// Why a price: let x be a plan, b its points, c its costs, B the budget. The Lagrangian b(x) - p
// (c(x) - B) is a sum over components, each of which is taken where its points exceed p times its
// costs: that is what `pays` asks. Where the best x for some p costs exactly B, no plan within B
// saves more (Everett, Generalized Lagrange multiplier method, Operations Research 11, 1963). Here
// x is not the best for p but a good one, since growing is not.
#include "plan/price_plan.hpp"

#include "plan/chosen_cells.hpp"

#include <cmath>
#include <mutex>
#include <utility>

namespace fuelring::plan {

namespace {

bool pays(const PlanGrid& grid, double price, ZoneId zone, std::int64_t conifer,
          std::int64_t points, double fixed_cost)
{
    // A cell of the very price is worth it; the last bits of a product must not say otherwise.
    constexpr double rounding = 1 - 1e-6;
    return points_unit * static_cast<double>(points) >=
           rounding * price * (grid.cost(zone, conifer) + fixed_cost);
}

/// Takes the grown in, best seed first. One that meets an earlier one adds what is new to it.
class Acceptance {
public:
    Acceptance(const PlanGrid& grid, double price, double fixed_cost,
               const std::vector<Grown>& candidates)
        : grid_(grid), price_(price), fixed_cost_(fixed_cost)
    {
        std::size_t cells = 0;
        for (const Grown& grown : candidates)
            cells += grown.cells.size();
        chosen_.group_of.reserve(cells);
    }

    void consider(Grown grown)
    {
        GrownGroup group;
        // Another seed has it: it is paid for, and joined to it this one needs no fixed cost.
        std::erase_if(grown.cells, [&](const GrownCell& cell) {
            const auto other = chosen_.group_of.find(cell.number());
            if (other == chosen_.group_of.end())
                return false;
            group.earlier.push_back(other->second);
            const Block& block = grid_.blocks()[cell.block];
            grown.conifer -= block.conifer(cell.k);
            grown.points -= grid_.points(block, cell.k, grown.zone);
            return true;
        });
        const bool joins = grown.joins || !group.earlier.empty();
        if (grown.conifer == 0 ||
            !pays(grid_, price_, grown.zone, grown.conifer, grown.points, joins ? 0 : fixed_cost_))
            return;
        for (const GrownCell& cell : grown.cells)
            chosen_.group_of.emplace(cell.number(),
                                     static_cast<std::uint32_t>(chosen_.groups.size()));
        group.grown = std::move(grown);
        chosen_.groups.push_back(std::move(group));
    }

    const GrownGroups& chosen() const { return chosen_; }

private:
    const PlanGrid& grid_;
    double price_;
    double fixed_cost_;
    GrownGroups chosen_;
};

ChosenCells cells_at_price(const PlanGrid& grid, const Selection& selection, const UnitRules& rules,
                           const GapLinks& links, const ShareOut& share_out)
{
    const Labelling labelling{grid, selection, links, share_out};
    const double price = selection.price.value();
    std::vector<std::uint8_t> kept(labelling.parts());
    for (std::uint32_t part = 0; part < labelling.parts(); ++part) {
        if (!labelling.is_root(part))
            continue;
        const Component& c = labelling.whole(part);
        // One fixed cost at least: what does not pay it holds no piece that does.
        kept[part] = c.conifer >= rules.smallest() &&
                     pays(grid, price, c.zone, c.conifer, c.points, rules.fixed_cost);
    }
    std::vector<Grown> candidates =
        grow_from_seeds(grid, selection, rules, labelling, kept, share_out);
    Acceptance acceptance{grid, price, rules.fixed_cost, candidates};
    for (Grown& grown : candidates)
        acceptance.consider(std::move(grown));
    return {grid, labelling, kept, acceptance.chosen()};
}

/// Sums in whole steps.
class StepSums {
public:
    explicit StepSums(const UnitRules& rules) : rules_(rules) {}

    void add(const Unit& unit)
    {
        totals_.conifer_milli_m2 += unit.conifer_in_milli_m2();
        totals_.points += unit.points;
        ++totals_.units;
        steps_ += std::llround(unit.cost * rules_.steps_per_cost);
        cents_ += std::llround(unit.money * cents);
    }
    PlanTotals totals() const
    {
        PlanTotals totals = totals_;
        totals.cost = static_cast<double>(steps_) / rules_.steps_per_cost;
        totals.money = static_cast<double>(cents_) / cents;
        return totals;
    }

private:
    static constexpr int cents = 100;
    const UnitRules& rules_;
    PlanTotals totals_;
    std::int64_t steps_ = 0;
    std::int64_t cents_ = 0;
};

bool pays(const PlanGrid& grid, const Selection& selection, const UnitRules& rules,
          const Unit& unit)
{
    return pays(grid, selection.price.value(), unit.zone, unit.conifer, unit.points,
                rules.fixed_cost);
}

} // namespace

PlanTotals totals_of(const std::vector<Unit>& units, const UnitRules& rules)
{
    StepSums sums{rules};
    for (const Unit& unit : units)
        sums.add(unit);
    return sums.totals();
}

PricePlan plan_at_price(const PlanGrid& grid, const Selection& selection, const UnitRules& rules,
                        const GapLinks& links, const ShareOut& share_out)
{
    PricePlan plan;
    plan.units =
        units_of(grid, cells_at_price(grid, selection, rules, links, share_out), rules, share_out);
    std::erase_if(plan.units,
                  [&](const Unit& unit) { return !pays(grid, selection, rules, unit); });
    plan.totals = totals_of(plan.units, rules);
    return plan;
}

PlanTotals totals_at_price(const PlanGrid& grid, const Selection& selection, const UnitRules& rules,
                           const GapLinks& links, const ShareOut& share_out)
{
    std::mutex guard;
    StepSums sums{rules};
    lay_out(grid, cells_at_price(grid, selection, rules, links, share_out), rules, share_out,
            [&](std::size_t, std::vector<Unit> units) {
                const std::lock_guard lock{guard};
                for (const Unit& unit : units)
                    if (pays(grid, selection, rules, unit))
                        sums.add(unit);
            });
    return sums.totals();
}

} // namespace fuelring::plan
