// SPDX-License-Identifier: Apache-2.0

// The price that spends a budget: between one that costs too little and one that costs too much,
// first on keys, guessing by the costs found, then, where cells of one key remain, on rows and
// columns.
#include "plan/treatment_plan.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <optional>
#include <tuple>
#include <utility>

namespace fuelring::plan {

namespace {

constexpr double close_enough = 0.999;     ///< of the budget
constexpr Key first_stride = Key{1} << 18; ///< 2 to 3 per cent of a price
constexpr int most_plans = 64;

/// Links down to the prices that are asked for: a budget that buys a part of what there is needs
/// those of the best cells only.
class LinksDownTo {
public:
    /// These.
    explicit LinksDownTo(const GapLinks& given) : given_(&given), widest_ring_(given.widest_ring())
    {}
    /// Found when they are asked for.
    LinksDownTo(const PlanGrid& grid, double gap_m, int widest_ring, const ShareOut& share_out)
        : find_([&grid, gap_m, widest_ring, &share_out](Key lowest) {
              return GapLinks{grid, gap_m, widest_ring, share_out, lowest};
          }),
          widest_ring_(widest_ring)
    {}

    int widest_ring() const { return widest_ring_; }
    const GapLinks& at(Key price)
    {
        if (given_)
            return *given_;
        if (!found_)
            found_ = find_(price > margin ? price - margin : 1);
        else if (price < found_->lowest())
            found_ = find_(1);
        return *found_;
    }

private:
    static constexpr Key margin = Key{1} << 22; ///< a quarter to a third of a price
    const GapLinks* given_ = nullptr;
    std::function<GapLinks(Key)> find_;
    int widest_ring_;
    std::optional<GapLinks> found_;
};

/// Looks for the lowest price within a budget.
class PriceSearch {
public:
    PriceSearch(const PlanGrid& grid, const UnitRules& rules, double budget, LinksDownTo& links,
                const ShareOut& share_out)
        : grid_(grid), rules_(rules), budget_(budget), links_(links), share_out_(share_out)
    {}

    /// `supply`: of the rings that the links have.
    void run(const Supply& supply)
    {
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
        PricePlan plan = plan_at_price(grid_, {price, links_.widest_ring()}, rules_,
                                       links_.at(price.key), share_out_);
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
    LinksDownTo& links_;
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

PricePlan spend(const PlanGrid& grid, const UnitRules& rules, double budget, const Supply& supply,
                LinksDownTo& links, const ShareOut& share_out)
{
    PriceSearch search{grid, rules, budget, links, share_out};
    search.run(supply);
    PricePlan plan = search.take_best();
    add_remainder(grid, rules, search.take_too_dear(), budget, plan);
    return plan;
}

} // namespace

PricePlan plan_within(const PlanGrid& grid, const UnitRules& rules, double budget,
                      const GapLinks& links, const ShareOut& share_out)
{
    const Supply supply{grid, links.widest_ring(), share_out};
    LinksDownTo these{links};
    return spend(grid, rules, budget, supply, these, share_out);
}

PricePlan plan_within(const PlanGrid& grid, const UnitRules& rules, double budget, int widest_ring,
                      const ShareOut& share_out)
{
    const Supply supply{grid, widest_ring, share_out};
    LinksDownTo found{grid, rules.gap_m, widest_ring, share_out};
    return spend(grid, rules, budget, supply, found, share_out);
}

std::vector<PricePlan> plans_by_ring(const PlanGrid& grid, const UnitRules& rules, double budget,
                                     int widest_ring, const GapLinks& links,
                                     const ShareOut& share_out)
{
    const std::vector<Supply> supplies = Supply::by_ring(grid, widest_ring, share_out);
    std::vector<PricePlan> plans;
    for (int ring = 0; ring < widest_ring; ++ring) {
        LinksDownTo found{grid, rules.gap_m, ring, share_out};
        plans.push_back(
            spend(grid, rules, budget, supplies[static_cast<std::size_t>(ring)], found, share_out));
    }
    LinksDownTo these{links};
    plans.push_back(spend(grid, rules, budget, supplies.back(), these, share_out));
    return plans;
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
    std::vector<std::int64_t> sizes; // falling
    for (const double m2 : larger_m2)
        sizes.insert(sizes.begin(), UnitRules{.smallest_m2 = m2}.smallest());
    sizes.push_back(rules.smallest());
    const std::vector<Supply> of_size = Supply::by_size(grid, everything, sizes, share_out);
    bounds.reachable = of_size.back().most_points(budget);
    if (rules.fixed_cost > 0)
        bounds.reachable =
            std::min(bounds.reachable, dual_bound(grid, rules, budget, everything, share_out));
    double most = bounds.reachable; // larger units are units of the smallest size, too
    for (std::size_t k = 0; k < larger_m2.size(); ++k) {
        most = std::min(most, of_size[larger_m2.size() - 1 - k].most_points(budget));
        bounds.larger.push_back({larger_m2[k], most});
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
