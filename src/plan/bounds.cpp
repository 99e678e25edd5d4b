// SPDX-License-Identifier: Apache-2.0

// What no plan can beat. Integers are summed by bins of the keys, so threads change nothing.
//
// Two relaxations. One drops the rule that units hang together: cells by falling ratio, a
// fractional knapsack. The other keeps components and fixed costs but pays for the budget with a
// price, so that each component decides alone (Lagrangian relaxation, see price_plan.cpp).
#include "plan/bounds.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <mutex>

namespace fuelring::plan {

namespace {

constexpr double cost_unit = 1e-6;
constexpr Key above_all = 0x7fff'e000; ///< no float
constexpr int dual_steps = 40;

/// The least key that is not 0 and the greatest; 0 where there is none.
struct KeyRange {
    Key least = 0;
    Key most = 0;

    void take(Key key)
    {
        if (key == 0)
            return;
        least = least == 0 ? key : std::min(least, key);
        most = std::max(most, key);
    }
};

KeyRange keys_of(const PlanGrid& grid, const ShareOut& share_out)
{
    KeyRange range;
    std::mutex guard;
    for_each_shared(share_out, grid.blocks().size(), [&](std::size_t b) {
        KeyRange of_block;
        for (const Key key : grid.blocks()[b].key)
            of_block.take(key);
        const std::lock_guard lock{guard};
        range.take(of_block.least);
        range.take(of_block.most);
    });
    return range;
}

} // namespace

Supply::Supply(const PlanGrid& grid, int widest_ring, const ShareOut& share_out,
               const Labelling* labelling, std::int64_t smallest)
{
    const KeyRange keys = keys_of(grid, share_out);
    first_bin_ = keys.least >> bin_shift;
    cost_.resize((keys.most >> bin_shift) - first_bin_ + 1);
    points_.resize(cost_.size());
    std::mutex guard;
    share_out(grid.blocks().size(), [&](const std::function<std::size_t()>& next) {
        std::vector<std::int64_t> cost(cost_.size());
        std::vector<std::int64_t> points(cost_.size());
        std::int64_t conifer = 0;
        for (std::size_t b = next(); b < grid.blocks().size(); b = next()) {
            const Block& block = grid.blocks()[b];
            const auto add = [&](std::size_t k, ZoneId zone) {
                if (block.key[k] == 0 || block.ring(k) > widest_ring)
                    return;
                const std::size_t bin = (block.key[k] >> bin_shift) - first_bin_;
                cost[bin] += std::llrint(grid.cost(zone, block.conifer(k)) / cost_unit);
                points[bin] += grid.points(block, k, zone);
                conifer += block.conifer(k);
            };
            if (!labelling) {
                block.each_conifer([&](int, int, std::size_t k, ZoneId zone) { add(k, zone); });
                continue;
            }
            labelling->runs(b, [&](int row, int col, int cells, std::uint32_t part) {
                const Component& whole = labelling->whole(labelling->root(part));
                if (whole.conifer >= smallest)
                    block.conifers(row, col, col + cells,
                                   [&](int, std::size_t k) { add(k, whole.zone); });
            });
        }
        const std::lock_guard lock{guard};
        for (std::size_t k = 0; k < cost.size(); ++k) {
            cost_[k] += cost[k];
            points_[k] += points[k];
        }
        conifer_ += conifer;
    });
    for (const std::int64_t cost : cost_)
        all_cost_ += cost_unit * static_cast<double>(cost);
}

double Supply::most_points(double budget) const
{
    double left = budget;
    double sum = 0;
    for (std::size_t bin = cost_.size(); bin-- > 0 && left > 0;) {
        if (cost_[bin] == 0)
            continue;
        const double cost = cost_unit * static_cast<double>(cost_[bin]);
        const double points = points_unit * static_cast<double>(points_[bin]);
        if (cost <= left) {
            sum += points;
            left -= cost;
        } else {
            // The upper end of the bin: at most what the best cell in it could give.
            const double best = ratio_of(static_cast<Key>((first_bin_ + bin + 1) << bin_shift));
            return sum + std::min(points, left * best);
        }
    }
    return sum;
}

Key Supply::key_at_cost(double budget) const
{
    double left = budget;
    if (left < 0) // above every key: no cell is had for less than nothing
        return above_all;
    for (std::size_t bin = cost_.size(); bin-- > 0;) {
        left -= cost_unit * static_cast<double>(cost_[bin]);
        if (left < 0)
            return static_cast<Key>((first_bin_ + bin) << bin_shift);
    }
    return 1;
}

std::vector<Key> Supply::keys_at_shares(const std::vector<double>& shares_of_cost) const
{
    std::vector<Key> keys;
    for (const double share : shares_of_cost) {
        const Key key = std::max<Key>(share < 1 ? key_at_cost(share * all_cost_) : 1, 1);
        if (keys.empty() || key < keys.back())
            keys.push_back(key);
    }
    return keys;
}

namespace {

/// What each component can add at a price, in points.
/// Source: Everett 1963, as in price_plan.cpp; why two counts of units, says bounds.hpp.
class Relaxation {
public:
    Relaxation(const PlanGrid& grid, const UnitRules& rules, double budget,
               const Labelling& everything, const ShareOut& share_out)
        : grid_(grid), rules_(rules), budget_(budget), parts_(everything), share_out_(share_out),
          fixed_by_conifer_(rules.fixed_cost / static_cast<double>(rules.largest(grid)))
    {}

    double at(double price) const
    {
        std::vector<Surplus> surplus(parts_.parts());
        for_each_shared(share_out_, grid_.blocks().size(), [&](std::size_t b) {
            add_block(b, price, surplus); // parts belong to one block each
        });
        std::vector<Surplus> whole(parts_.parts());
        for (std::uint32_t part = 0; part < surplus.size(); ++part) {
            Surplus& sum = whole[parts_.root(part)];
            sum.before_fixed += surplus[part].before_fixed;
            sum.after_share_of_fixed += surplus[part].after_share_of_fixed;
        }
        double sum = price * budget_;
        for (std::uint32_t part = 0; part < whole.size(); ++part)
            if (parts_.is_root(part) && parts_.whole(part).conifer >= rules_.smallest())
                sum += std::max(0.0, std::min(whole[part].before_fixed - price * rules_.fixed_cost,
                                              whole[part].after_share_of_fixed));
        return sum;
    }

private:
    struct Surplus {
        double before_fixed = 0;         ///< one fixed cost is to come off it
        double after_share_of_fixed = 0; ///< each cell has paid its share of a largest unit's
    };

    void add_block(std::size_t b, double price, std::vector<Surplus>& surplus) const
    {
        const Block& block = grid_.blocks()[b];
        parts_.runs(b, [&](int row, int col, int cells, std::uint32_t part) {
            const ZoneId zone = parts_.whole(parts_.root(part)).zone;
            block.conifers(row, col, col + cells, [&](int, std::size_t k) {
                const double gain = block.key[k] == 0 ? 0 : ratio_of(block.key[k]) - price;
                if (gain <= 0)
                    return;
                const double points = gain * grid_.cost(zone, block.conifer(k));
                const double fixed =
                    price * fixed_by_conifer_ * static_cast<double>(block.conifer(k));
                surplus[part].before_fixed += points;
                surplus[part].after_share_of_fixed += std::max(0.0, points - fixed);
            });
        });
    }

    const PlanGrid& grid_;
    const UnitRules& rules_;
    double budget_;
    const Labelling& parts_;
    const ShareOut& share_out_;
    double fixed_by_conifer_; ///< fixed cost for each conifer_unit_m2 of a unit of the largest size
};

} // namespace

double dual_bound(const PlanGrid& grid, const UnitRules& rules, double budget,
                  const Labelling& everything, const ShareOut& share_out)
{
    Key best_key = 1;
    for (std::uint32_t part = 0; part < everything.parts(); ++part)
        if (everything.is_root(part))
            best_key = std::max(best_key, everything.whole(part).best_key);
    const Relaxation relaxation{grid, rules, budget, everything, share_out};
    // Each surplus is convex in the price, the lesser of two nearly so: thirds of the logarithm
    // find a low place. Every price gives a bound, so a better one elsewhere costs sharpness only.
    double high = std::log(2 * ratio_of(best_key));
    double low = high - std::log(1e9);
    double best = relaxation.at(0);
    for (int step = 0; step < dual_steps; ++step) {
        const double a = low + (high - low) / 3;
        const double b = high - (high - low) / 3;
        const double at_a = relaxation.at(std::exp(a));
        const double at_b = relaxation.at(std::exp(b));
        best = std::min({best, at_a, at_b});
        (at_a < at_b ? high : low) = at_a < at_b ? b : a;
    }
    return best;
}

} // namespace fuelring::plan
