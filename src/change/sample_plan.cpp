// SPDX-License-Identifier: Apache-2.0

// The variance of a stratified mean is V = sum of W^2 S^2 / n_i. For a given total it is smallest
// where n_i goes as W S (Neyman's allocation), which gives V = (sum of W S)^2 / n: equation 13 of
// Olofsson et al. (2014), solved for n. Other allocations have no formula once rare classes are
// held at a minimum and points are whole, so the plan searches for the total.
#include <fuelring/error.hpp>
#include <fuelring/statistics/accuracy.hpp>
#include <fuelring/statistics/sample_plan.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

namespace fuelring {

namespace {

/// Rounding of sums does not cost a point.
constexpr double rounding = 1e-12;

/// Beyond this sums of variances would not be finite.
constexpr double largest_deviation = 1e100;
/// What rounding may add to shares that sum to 1.
constexpr double share_slack = 1e-9;

void require_strata(std::span<const Stratum> strata)
{
    double sum = 0;
    for (const Stratum& s : strata)
        sum += s.share;
    const bool good = std::all_of(strata.begin(), strata.end(), [](const Stratum& s) {
        return s.share >= 0 && s.share <= 1 && s.deviation >= 0 && s.deviation <= largest_deviation;
    });
    const bool covered =
        std::any_of(strata.begin(), strata.end(), [](const Stratum& s) { return s.share > 0; });
    if (!good || !covered || sum > 1 + share_slack)
        throw Error{Failure::input, "shares of ground lie between 0 and 1, not all 0, sum to 1 at "
                                    "most, and deviations are finite and not below 0"};
}

void require_minimum(std::int64_t minimum)
{
    if (minimum < 1 || minimum > most_points)
        throw Error{Failure::input, fmt::format("a minimum of {} points for a class; it lies "
                                                "between 1 and {}",
                                                minimum, most_points)};
}

std::int64_t covered_classes(std::span<const Stratum> strata)
{
    return std::count_if(strata.begin(), strata.end(),
                         [](const Stratum& s) { return s.share > 0; });
}

/// What a class's points are in proportion to.
double claim(const Stratum& s, Allocation how)
{
    switch (how) {
    case Allocation::equal:
        return 1;
    case Allocation::proportional:
        return s.share;
    case Allocation::optimal:
        return s.share * s.deviation;
    }
    return 0;
}

/// Claims of classes that cover ground, 0 for others. Where none has a claim all have the same.
std::vector<double> claims_of(std::span<const Stratum> strata, Allocation how)
{
    std::vector<double> claims;
    for (const Stratum& s : strata)
        claims.push_back(s.share > 0 ? claim(s, how) : 0);
    if (std::all_of(claims.begin(), claims.end(), [](double c) { return c <= 0; }))
        return claims_of(strata, Allocation::equal);
    return claims;
}

/// Classes that still share the rest after the others were given the minimum.
struct Sharing {
    std::vector<std::size_t> open;
    std::int64_t rest = 0;
    double claimed = 0;
};

/// Gives the minimum to each class whose part of the rest is less, until none is.
Sharing hold_minimum(const std::vector<double>& claims, std::int64_t minimum, Sharing sharing,
                     std::vector<std::int64_t>& points)
{
    for (;;) {
        sharing.claimed = 0;
        for (const std::size_t k : sharing.open)
            sharing.claimed += claims[k];
        const auto too_few = [&](std::size_t k) {
            return static_cast<double>(sharing.rest) * claims[k] <
                   static_cast<double>(minimum) * sharing.claimed;
        };
        const auto held = std::stable_partition(sharing.open.begin(), sharing.open.end(),
                                                [&too_few](std::size_t k) { return !too_few(k); });
        if (held == sharing.open.end())
            return sharing;
        for (auto k = held; k != sharing.open.end(); ++k) {
            points[*k] = minimum;
            sharing.rest -= minimum;
        }
        sharing.open.erase(held, sharing.open.end());
    }
}

/// Whole numbers in proportion to the claims: the largest remainders are rounded up.
void share_out(const std::vector<double>& claims, Sharing sharing,
               std::vector<std::int64_t>& points)
{
    std::vector<double> remainder(claims.size());
    std::int64_t left = sharing.rest;
    for (const std::size_t k : sharing.open) {
        const double part = static_cast<double>(sharing.rest) * claims[k] / sharing.claimed;
        points[k] = static_cast<std::int64_t>(part);
        remainder[k] = part - static_cast<double>(points[k]);
        left -= points[k];
    }
    std::stable_sort(sharing.open.begin(), sharing.open.end(),
                     [&](std::size_t a, std::size_t b) { return remainder[a] > remainder[b]; });
    for (std::size_t at = 0; left > 0; ++at, --left)
        ++points[sharing.open[at % sharing.open.size()]];
}

} // namespace

std::vector<Stratum> expected_strata(std::span<const double> mapped_area,
                                     std::span<const double> expected)
{
    if (mapped_area.size() != expected.size())
        throw Error{Failure::input, fmt::format("{} mapped areas and {} expected shares",
                                                mapped_area.size(), expected.size())};
    for (const double area : mapped_area)
        if (!(area >= 0) || !std::isfinite(area))
            throw Error{Failure::input, fmt::format("a mapped area of {}", area)};
    const double total = std::accumulate(mapped_area.begin(), mapped_area.end(), 0.0);
    if (!(total > 0) || !std::isfinite(total))
        throw Error{Failure::input, fmt::format("mapped areas sum to {}", total)};
    std::vector<Stratum> strata;
    for (std::size_t k = 0; k < expected.size(); ++k) {
        const double p = expected[k];
        if (!(p >= 0 && p <= 1))
            throw Error{Failure::input,
                        fmt::format("an expected share of {}; it lies between 0 and 1", p)};
        strata.push_back({mapped_area[k] / total, std::sqrt(p * (1 - p))});
    }
    return strata;
}

std::int64_t fewest_points(std::span<const Stratum> strata, double wanted_se)
{
    require_strata(strata);
    if (!(wanted_se > 0) || !std::isfinite(wanted_se))
        throw Error{Failure::input,
                    fmt::format("a wanted standard error of {}; it lies above 0", wanted_se)};
    double sum = 0;
    for (const Stratum& s : strata)
        sum += s.share * s.deviation;
    const double n = sum / wanted_se * (sum / wanted_se);
    if (!(n <= static_cast<double>(most_points)))
        throw Error{Failure::input,
                    fmt::format("a standard error of {} takes {:.4g} points; {} is the most",
                                wanted_se, n, most_points)};
    return static_cast<std::int64_t>(std::ceil(n * (1 - rounding)));
}

std::vector<std::int64_t> allocate(std::span<const Stratum> strata, std::int64_t total,
                                   Allocation how, std::int64_t minimum)
{
    require_strata(strata);
    require_minimum(minimum);
    const std::int64_t covered = covered_classes(strata);
    if (total > most_points)
        throw Error{Failure::input,
                    fmt::format("it takes {} points; {} is the most", total, most_points)};
    if (total < minimum * covered)
        throw Error{Failure::input, fmt::format("{} points for {} classes of at least {} each",
                                                total, covered, minimum)};
    const std::vector<double> claims = claims_of(strata, how);
    Sharing sharing{{}, total, 0};
    for (std::size_t k = 0; k < strata.size(); ++k)
        if (strata[k].share > 0)
            sharing.open.push_back(k);
    std::vector<std::int64_t> points(strata.size());
    share_out(claims, hold_minimum(claims, minimum, std::move(sharing), points), points);
    return points;
}

double expected_se(std::span<const Stratum> strata, std::span<const std::int64_t> points)
{
    require_strata(strata);
    if (points.size() != strata.size())
        throw Error{Failure::input, fmt::format("points for {} classes where there are {}",
                                                points.size(), strata.size())};
    double variance = 0;
    for (std::size_t k = 0; k < strata.size(); ++k) {
        const double spread = strata[k].share * strata[k].deviation;
        if (points[k] < 0 || (spread > 0 && points[k] == 0))
            throw Error{Failure::input, fmt::format("class {} gets {} points", k + 1, points[k])};
        if (spread > 0)
            variance += spread * spread / static_cast<double>(points[k]);
    }
    return std::sqrt(variance);
}

SamplePlan plan_sample(std::span<const Stratum> strata, double wanted_se, Allocation how,
                       std::int64_t minimum)
{
    require_minimum(minimum);
    const std::int64_t fewest = fewest_points(strata, wanted_se);
    const auto plan_of = [&](std::int64_t total) {
        SamplePlan plan{allocate(strata, total, how, minimum), total, 0};
        plan.expected_se = expected_se(strata, plan.points);
        return plan;
    };
    const auto meets = [wanted_se](const SamplePlan& plan) {
        return plan.expected_se <= wanted_se * (1 + rounding);
    };
    // `allocate` refuses what is beyond its reach.
    std::int64_t low = std::max(fewest, minimum * covered_classes(strata)) - 1; // does not do
    SamplePlan plan = plan_of(low + 1);
    while (!meets(plan)) {
        low = plan.total;
        plan = plan_of(2 * low);
    }
    while (plan.total - low > 1) {
        const SamplePlan middle = plan_of(low + (plan.total - low) / 2);
        if (meets(middle))
            plan = middle;
        else
            low = middle.total;
    }
    return plan;
}

} // namespace fuelring
