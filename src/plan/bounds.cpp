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

Supply::Supply(std::size_t first_bin, std::size_t bins)
    : first_bin_(first_bin), cost_(bins), points_(bins)
{}

Supply::Supply(const PlanGrid& grid, int widest_ring, const ShareOut& share_out)
    : Supply(std::move(by_ring(grid, widest_ring, share_out).back()))
{}

void Supply::add(const PlanGrid& grid, const Block& block, std::size_t k, ZoneId zone)
{
    const std::size_t bin = (block.key[k] >> bin_shift) - first_bin_;
    cost_[bin] += std::llrint(grid.cost(zone, block.conifer(k)) / cost_unit);
    points_[bin] += grid.points(block, k, zone);
    conifer_ += block.conifer(k);
}

void Supply::add(const Supply& other)
{
    for (std::size_t bin = 0; bin < cost_.size(); ++bin) {
        cost_[bin] += other.cost_[bin];
        points_[bin] += other.points_[bin];
    }
    conifer_ += other.conifer_;
}

/// each_cell(b, visit) calls visit(k, zone, class) for cells of block b.
template <typename EachCell>
std::vector<Supply> Supply::of_classes(const PlanGrid& grid, std::size_t classes,
                                       const ShareOut& share_out, EachCell each_cell)
{
    const KeyRange keys = keys_of(grid, share_out);
    const std::size_t first_bin = keys.least >> bin_shift;
    const Supply none{first_bin, (keys.most >> bin_shift) - first_bin + 1};
    std::vector<Supply> supplies(classes, none);
    std::mutex guard;
    share_out(grid.blocks().size(), [&](const std::function<std::size_t()>& next) {
        std::vector<Supply> of_thread(classes, none);
        for (std::size_t b = next(); b < grid.blocks().size(); b = next()) {
            const Block& block = grid.blocks()[b];
            each_cell(b, [&](std::size_t k, ZoneId zone, std::size_t number) {
                if (block.key[k] != 0)
                    of_thread[number].add(grid, block, k, zone);
            });
        }
        const std::lock_guard lock{guard};
        for (std::size_t number = 0; number < classes; ++number)
            supplies[number].add(of_thread[number]);
    });
    for (std::size_t number = 1; number < classes; ++number)
        supplies[number].add(supplies[number - 1]);
    return supplies;
}

std::vector<Supply> Supply::by_ring(const PlanGrid& grid, int widest_ring,
                                    const ShareOut& share_out)
{
    const std::size_t rings = static_cast<std::size_t>(widest_ring) + 1;
    return of_classes(grid, rings, share_out, [&](std::size_t b, auto&& visit) {
        const Block& block = grid.blocks()[b];
        block.each_conifer([&](int, int, std::size_t k, ZoneId zone) {
            const auto ring = static_cast<std::size_t>(block.ring(k));
            if (ring < rings)
                visit(k, zone, ring);
        });
    });
}

std::vector<Supply> Supply::by_size(const PlanGrid& grid, const Labelling& labelling,
                                    const std::vector<std::int64_t>& smallest,
                                    const ShareOut& share_out)
{
    return of_classes(grid, smallest.size(), share_out, [&](std::size_t b, auto&& visit) {
        labelling.runs(b, [&](int row, int col, int cells, std::uint32_t part) {
            const Component& whole = labelling.whole(labelling.root(part));
            const auto fits =
                std::find_if(smallest.begin(), smallest.end(),
                             [&](std::int64_t size) { return whole.conifer >= size; });
            if (fits == smallest.end())
                return;
            const auto number = static_cast<std::size_t>(fits - smallest.begin());
            grid.blocks()[b].conifers(row, col, col + cells,
                                      [&](int, std::size_t k) { visit(k, whole.zone, number); });
        });
    });
}

double Supply::all_cost() const
{
    double sum = 0;
    for (const std::int64_t cost : cost_)
        sum += cost_unit * static_cast<double>(cost);
    return sum;
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
    const double all = all_cost();
    for (const double share : shares_of_cost) {
        const Key key = std::max<Key>(share < 1 ? key_at_cost(share * all) : 1, 1);
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
