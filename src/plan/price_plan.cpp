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

#include "plan/growth.hpp"

#include <cmath>
#include <unordered_set>

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

void choose_kept(const PlanGrid& grid, const Labelling& labelling,
                 const std::vector<std::uint8_t>& kept, CellSet& chosen)
{
    for (std::size_t b = 0; b < grid.blocks().size(); ++b) {
        const Block& block = grid.blocks()[b];
        labelling.runs(b, [&](int row, int col, int cells, std::uint32_t part) {
            if (kept[labelling.root(part)])
                block.conifers(row, col, col + cells,
                               [&](int, std::size_t k) { chosen.add(grid, b, k); });
        });
    }
}

/// Takes the grown in, best seed first. One that meets an earlier one adds what is new to it.
class Acceptance {
public:
    Acceptance(const PlanGrid& grid, double price, double fixed_cost, CellSet& chosen)
        : grid_(grid), price_(price), fixed_cost_(fixed_cost), chosen_(chosen)
    {}

    void consider(const Grown& grown)
    {
        bool joins = grown.joins;
        std::int64_t conifer = 0;
        std::int64_t points = 0;
        for (const auto& cell : grown.cells) {
            // Another seed has it: it is paid for, and joined to it this one needs no fixed cost.
            if (taken_.contains(number(cell))) {
                joins = true;
                continue;
            }
            const Block& block = grid_.blocks()[cell.first];
            conifer += block.conifer(cell.second);
            points += grid_.points(block, cell.second, grown.zone);
        }
        if (conifer == 0 ||
            !pays(grid_, price_, grown.zone, conifer, points, joins ? 0 : fixed_cost_))
            return;
        for (const auto& cell : grown.cells)
            if (taken_.insert(number(cell)).second)
                chosen_.add(grid_, cell.first, cell.second);
    }

private:
    static std::uint64_t number(const std::pair<std::uint32_t, std::uint32_t>& cell)
    {
        return (std::uint64_t{cell.first} << 32) | cell.second;
    }

    const PlanGrid& grid_;
    double price_;
    double fixed_cost_;
    CellSet& chosen_;
    std::unordered_set<std::uint64_t> taken_;
};

CellSet cells_at_price(const PlanGrid& grid, const Selection& selection, const UnitRules& rules,
                       const ShareOut& share_out)
{
    const Labelling labelling{grid, selection, rules.gap_m, share_out};
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
    CellSet chosen{grid};
    choose_kept(grid, labelling, kept, chosen);
    Acceptance acceptance{grid, price, rules.fixed_cost, chosen};
    for (const Grown& grown : grow_from_seeds(grid, selection, rules, labelling, kept, share_out))
        acceptance.consider(grown);
    return chosen;
}

} // namespace

PlanTotals totals_of(const std::vector<Unit>& units, const UnitRules& rules)
{
    constexpr int cents = 100;
    PlanTotals totals;
    std::int64_t steps = 0;
    std::int64_t money = 0;
    for (const Unit& unit : units) {
        totals.conifer_milli_m2 += unit.conifer_in_milli_m2();
        totals.points += unit.points;
        steps += std::llround(unit.cost * rules.steps_per_cost);
        money += std::llround(unit.money * cents);
    }
    totals.units = static_cast<std::int64_t>(units.size());
    totals.cost = static_cast<double>(steps) / rules.steps_per_cost;
    totals.money = static_cast<double>(money) / cents;
    return totals;
}

PricePlan plan_at_price(const PlanGrid& grid, const Selection& selection, const UnitRules& rules,
                        const ShareOut& share_out)
{
    PricePlan plan;
    plan.units =
        units_of(grid, cells_at_price(grid, selection, rules, share_out), rules, share_out);
    std::erase_if(plan.units, [&](const Unit& unit) {
        return !pays(grid, selection.price.value(), unit.zone, unit.conifer, unit.points,
                     rules.fixed_cost);
    });
    plan.totals = totals_of(plan.units, rules);
    return plan;
}

} // namespace fuelring::plan
