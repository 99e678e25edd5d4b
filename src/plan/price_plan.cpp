// SPDX-License-Identifier: Apache-2.0

// Price growth: a price decides which cells are worth it; what hangs together of them is a unit
// where it is large enough, and what is too small grows over the next best cells until it is, and
// is kept if it still pays at that price. Plans of two prices are not nested.
#include "plan/price_plan.hpp"

#include "plan/growth.hpp"

#include <cmath>
#include <unordered_set>

namespace fuelring::plan {

namespace {

/// Adds up by zone, in integers, so that no order matters; the cost comes last.
class Tally {
public:
    explicit Tally(const PlanGrid& grid) : grid_(grid) {}

    void add(ZoneId zone, std::int64_t conifer, std::int64_t points)
    {
        totals_.add(zone, conifer, points);
    }
    void add_unit() { ++totals_.units; }
    PlanTotals totals(double fixed_cost) const
    {
        PlanTotals t = totals_;
        t.cost = fixed_cost * static_cast<double>(t.units);
        for (std::size_t zone = 0; zone < t.conifer_of_zone.size(); ++zone)
            if (t.conifer_of_zone[zone] > 0)
                t.cost += grid_.cost(static_cast<ZoneId>(zone), t.conifer_of_zone[zone]);
        return t;
    }

private:
    const PlanGrid& grid_;
    PlanTotals totals_;
};

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
    Acceptance(const PlanGrid& grid, double price, double fixed_cost, Tally& tally, CellSet* chosen)
        : grid_(grid), price_(price), fixed_cost_(fixed_cost), tally_(tally), chosen_(chosen)
    {}

    void consider(const Grown& grown)
    {
        bool joins = grown.joins;
        std::int64_t conifer = 0;
        std::int64_t points = 0;
        for (const auto& cell : grown.cells) {
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
        tally_.add(grown.zone, conifer, points);
        if (!joins)
            tally_.add_unit();
        for (const auto& cell : grown.cells)
            if (taken_.insert(number(cell)).second && chosen_)
                chosen_->add(grid_, cell.first, cell.second);
    }

private:
    static std::uint64_t number(const std::pair<std::uint32_t, std::uint32_t>& cell)
    {
        return (std::uint64_t{cell.first} << 32) | cell.second;
    }

    const PlanGrid& grid_;
    double price_;
    double fixed_cost_;
    Tally& tally_;
    CellSet* chosen_;
    std::unordered_set<std::uint64_t> taken_;
};

} // namespace

void PlanTotals::add(ZoneId zone, std::int64_t more_conifer, std::int64_t more_points)
{
    if (conifer_of_zone.size() <= zone)
        conifer_of_zone.resize(std::size_t{zone} + 1);
    conifer_of_zone[zone] += more_conifer;
    conifer += more_conifer;
    points += more_points;
}

std::int64_t UnitRules::smallest() const
{
    return std::llround(smallest_m2 / conifer_unit_m2);
}

PlanTotals plan_at_price(const PlanGrid& grid, const Selection& selection, const UnitRules& rules,
                         const ShareOut& share_out, CellSet* chosen)
{
    const Labelling labelling{grid, selection, rules.gap_m, share_out};
    const double price = selection.price.value();
    std::vector<std::uint8_t> kept(labelling.parts());
    Tally tally{grid};
    for (std::uint32_t part = 0; part < labelling.parts(); ++part) {
        if (!labelling.is_root(part))
            continue;
        const Component& c = labelling.whole(part);
        if (c.conifer < rules.smallest() ||
            !pays(grid, price, c.zone, c.conifer, c.points, rules.fixed_cost))
            continue;
        kept[part] = 1;
        tally.add(c.zone, c.conifer, c.points);
        tally.add_unit();
    }
    if (chosen)
        choose_kept(grid, labelling, kept, *chosen);
    Acceptance acceptance{grid, price, rules.fixed_cost, tally, chosen};
    for (const Grown& grown : grow_from_seeds(grid, selection, rules, labelling, kept, share_out))
        acceptance.consider(grown);
    return tally.totals(rules.fixed_cost);
}

} // namespace fuelring::plan
