// SPDX-License-Identifier: Apache-2.0

// The price that spends a budget: between one that costs too little and one that costs too much,
// first on keys, guessing by the costs found, then, where cells of one key remain, on rows and
// columns.
#include "plan/treatment_plan.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace fuelring::plan {

namespace {

constexpr double close_enough = 0.999;     ///< of the budget
constexpr Key first_stride = Key{1} << 18; ///< 2 to 3 per cent of a price
constexpr int most_plans = 64;

/// Looks for the lowest price within a budget.
class PriceSearch {
public:
    PriceSearch(const PlanGrid& grid, const UnitRules& rules, double budget, const GapLinks& links,
                const ShareOut& share_out)
        : grid_(grid), rules_(rules), budget_(budget), links_(links), share_out_(share_out)
    {}

    void run()
    {
        const Supply supply{grid_, links_.widest_ring(), share_out_};
        if (supply.all_cost() == 0)
            return;
        if (supply.all_cost() <= budget_ && try_price({1}))
            return;
        bracket(std::max<Key>(supply.key_at_cost(budget_), 1));
        narrow_keys();
        narrow_places();
    }

    /// Of the prices within the budget the one that saves most: with fixed costs not always the
    /// lowest.
    PricePlan take_best() { return std::move(best_); }
    /// Units of the last price that was too low; none where no price was.
    std::vector<Unit> take_too_dear() { return std::move(too_dear_); }

private:
    bool has_too_low() const { return bad_cost_ > 0; }

    /// True where the plan of the price is within the budget.
    bool try_price(const Price& price)
    {
        ++plans_;
        PricePlan plan =
            plan_at_price(grid_, {price, links_.widest_ring()}, rules_, links_, share_out_);
        if (plan.totals.cost <= budget_) {
            good_ = price;
            good_totals_ = plan.totals;
            if (plan.totals.points >= best_.totals.points)
                best_ = std::move(plan);
            return true;
        }
        bad_ = price;
        bad_cost_ = plan.totals.cost;
        too_dear_ = std::move(plan.units);
        return false;
    }

    /// Strides double from the guess on until the budget lies between two prices.
    void bracket(Key start)
    {
        const bool fits = try_price({start});
        const Key end = fits ? 1 : top_key;
        Key key = start;
        for (Key stride = first_stride; key != end && !(fits && done()); stride *= 2) {
            const Key left = fits ? key - end : end - key;
            key = stride >= left ? end : fits ? key - stride : key + stride;
            if (try_price({key}) != fits)
                return;
        }
    }

    bool done() const
    {
        return plans_ >= most_plans || good_totals_.cost >= close_enough * budget_;
    }

    void narrow_keys()
    {
        while (has_too_low() && !done() && good_.key - bad_.key > 1) {
            // Regula falsi on costs, aimed a little short: a guess within the budget is a plan.
            const double share = (budget_ - good_totals_.cost) / (bad_cost_ - good_totals_.cost);
            const auto width = static_cast<double>(good_.key - bad_.key);
            // Guesses on one side only shorten a bracket slowly: every third is the middle.
            const double step = plans_ % 3 == 0 ? 0.5 : std::clamp(0.98 * share, 0.02, 0.98);
            const auto back = static_cast<Key>(std::clamp(step * width, 1.0, width - 1));
            try_price({good_.key - back});
        }
    }

    /// The cells of one key, by row and column.
    void narrow_places()
    {
        if (!has_too_low() || done() || good_.key - bad_.key != 1 || grid_.blocks().empty())
            return;
        const Key key = bad_.key;
        CellRect all;
        for (const Block& block : grid_.blocks())
            all = hull(all, block.rect);
        const std::int64_t row = first_too_far(all.row, all.rows, [&](std::int64_t r) {
            return Price{key, r};
        });
        first_too_far(all.col, all.cols, [&](std::int64_t c) { return Price{key, row, c}; });
    }

    /// The first of `count` places from `first` on whose price costs too much; the last one does.
    template <typename PriceAt>
    std::int64_t first_too_far(std::int64_t first, std::int64_t count, PriceAt price_at)
    {
        std::int64_t fits = first - 1;
        std::int64_t too_far = first + count - 1;
        while (too_far - fits > 1 && !done()) {
            const std::int64_t place = (fits + too_far) / 2;
            (try_price(price_at(place)) ? fits : too_far) = place;
        }
        return too_far;
    }

    static constexpr Key top_key = 0x7f7fffff; ///< the largest float
    const PlanGrid& grid_;
    const UnitRules& rules_;
    double budget_;
    const GapLinks& links_;
    const ShareOut& share_out_;
    int plans_ = 0;
    Price good_{top_key};
    Price bad_{};
    PlanTotals good_totals_;
    PricePlan best_;
    double bad_cost_ = 0;
    std::vector<Unit> too_dear_;
};

/// Whole units of a plan that is too dear: those that share no cell with the plan and fit.
void add_remainder(const PlanGrid& grid, const UnitRules& rules, std::vector<Unit> dearer,
                   double budget, PricePlan& plan)
{
    CellSet taken{grid};
    for (const Unit& unit : plan.units)
        for_each_conifer(grid, unit.treated, [&](const Block& block, std::size_t k) {
            taken.add(grid, grid.number_of(block), k);
        });
    std::erase_if(dearer, [&](const Unit& unit) {
        bool overlaps = false;
        for_each_conifer(grid, unit.treated, [&](const Block& block, std::size_t k) {
            overlaps = overlaps || taken.holds(grid.number_of(block), k);
        });
        return overlaps;
    });
    const auto ratio = [](const Unit& unit) { return unit.removed_points() / unit.cost; };
    std::stable_sort(dearer.begin(), dearer.end(),
                     [&](const Unit& a, const Unit& b) { return ratio(a) > ratio(b); });
    const auto steps = [&](double cost) { return std::llround(cost * rules.steps_per_cost); };
    std::int64_t left =
        static_cast<std::int64_t>(budget * rules.steps_per_cost) - steps(plan.totals.cost);
    for (Unit& unit : dearer)
        if (steps(unit.cost) <= left) {
            left -= steps(unit.cost);
            plan.units.push_back(std::move(unit));
        }
    plan.totals = totals_of(plan.units, rules);
}

} // namespace

PricePlan plan_within(const PlanGrid& grid, const UnitRules& rules, double budget,
                      const GapLinks& links, const ShareOut& share_out)
{
    PriceSearch search{grid, rules, budget, links, share_out};
    search.run();
    PricePlan plan = search.take_best();
    add_remainder(grid, rules, search.take_too_dear(), budget, plan);
    return plan;
}

PricePlan plan_within(const PlanGrid& grid, const UnitRules& rules, double budget, int widest_ring,
                      const ShareOut& share_out)
{
    const GapLinks links{grid, rules.gap_m, widest_ring, share_out};
    return plan_within(grid, rules, budget, links, share_out);
}

std::vector<CurvePoint> benefit_curve(const PlanGrid& grid, const UnitRules& rules,
                                      const Supply& supply, const GapLinks& links,
                                      const ShareOut& share_out)
{
    std::vector<CurvePoint> curve;
    for (const Key key : supply.keys_at_shares(curve_shares)) {
        const PlanTotals totals = totals_at_price(grid, {.price = {key}}, rules, links, share_out);
        curve.push_back({ratio_of(key), totals, supply.most_points(totals.cost)});
    }
    return curve;
}

Bounds bounds_of(PlanGrid& grid, const UnitRules& rules, double budget, const Supply& supply,
                 const std::vector<double>& larger_m2, const GapLinks& links,
                 const ShareOut& share_out)
{
    Bounds bounds;
    bounds.fractional = supply.most_points(budget);
    const Labelling everything{grid, Selection{}, links, share_out};
    const auto reachable = [&](double smallest_m2) {
        const UnitRules sized{.smallest_m2 = smallest_m2};
        return Supply{grid, 3, share_out, &everything, sized.smallest()}.most_points(budget);
    };
    bounds.reachable = reachable(rules.smallest_m2);
    if (rules.fixed_cost > 0)
        bounds.reachable =
            std::min(bounds.reachable, dual_bound(grid, rules, budget, everything, share_out));
    double most = bounds.reachable; // larger units are units of the smallest size, too
    for (const double m2 : larger_m2) {
        most = std::min(most, reachable(m2));
        bounds.larger.push_back({m2, most});
    }
    for (std::size_t b = 0; b < grid.blocks().size(); ++b) {
        Block& block = grid.blocks()[b];
        everything.runs(b, [&](int row, int col, int cells, std::uint32_t part) {
            if (everything.whole(everything.root(part)).conifer < rules.smallest())
                block.conifers(row, col, col + cells,
                               [&](int, std::size_t k) { block.key[k] = 0; });
        });
    }
    return bounds;
}

} // namespace fuelring::plan
