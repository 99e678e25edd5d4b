// SPDX-License-Identifier: Apache-2.0

// Exposure is E = 100 sum w f / sum w over the rings k that are mapped, f = conifer / mapped. A
// ring without a fraction leaves both sums: it says nothing, neither "clear" nor "covered". Scaling
// all weights changes nothing.
//
// Clearing a m2 of conifer in ring k lowers E by a times 100 w / (sum w mapped), since what was
// cleared stays mapped: E is linear in the conifer areas, so points of many cells simply add up.
#include "geometry/require.hpp"

#include <fuelring/error.hpp>
#include <fuelring/measure.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <stdexcept>

namespace fuelring {

namespace {

/// Share of a ring that must be mapped for its fractions to mean something.
constexpr double least_mapped_frac = 1e-3;

/// Sum of the weights of the rings that are mapped.
double mapped_weight(const StructureMeasure& m, const RingPlan& plan)
{
    require(plan.weight.size() == m.rings.size(),
            "exposure: the plan has not as many weights as were measured rings");
    double all = 0;
    double sum = 0;
    for (std::size_t k = 0; k < m.rings.size(); ++k) {
        const double w = plan.weight[k];
        require(std::isfinite(w) && w >= 0, "exposure: weights must be finite, 0 or more");
        all += w;
        sum += m.rings[k].counts_as_mapped() ? w : 0;
    }
    require(std::isfinite(100 * all), "exposure: the sum of the weights is not finite");
    return sum;
}

} // namespace

// A few known square metres of a ring must not speak for all of it.
bool RingArea::counts_as_mapped() const
{
    return mapped_m2 > 0 && mapped_m2 >= least_mapped_frac * ring_m2;
}

std::optional<double> RingArea::conifer_frac() const
{
    return counts_as_mapped() ? std::optional{conifer_m2 / mapped_m2} : std::nullopt;
}

std::optional<double> RingArea::other_burnable_frac() const
{
    return counts_as_mapped() ? std::optional{other_burnable_m2 / mapped_m2} : std::nullopt;
}

// Rounding of a difference may leave a little more than the ring.
double RingArea::unmapped_frac() const
{
    return ring_m2 > 0 ? std::min(unmapped_m2 / ring_m2, 1.0) : 0;
}

RingArea operator+(const RingArea& a, const RingArea& b)
{
    return {a.ring_m2 + b.ring_m2, a.mapped_m2 + b.mapped_m2, a.conifer_m2 + b.conifer_m2,
            a.other_burnable_m2 + b.other_burnable_m2, a.unmapped_m2 + b.unmapped_m2};
}

void RingPlan::require_distances() const
{
    const auto refuse = [](const std::string& what) {
        throw Error{Failure::usage, what, "rings.outer_m"};
    };
    if (outer_m.empty())
        refuse("at least one distance is needed");
    double last = 0;
    for (const double d : outer_m) {
        if (!std::isfinite(d) || d <= last)
            refuse(fmt::format("distances must be above 0 and rise, {:g} does not", d));
        if (d > farthest_local_m)
            refuse(fmt::format("a distance of {:g} m; {:g} is the most", d, farthest_local_m));
        last = d;
    }
}

void RingPlan::require_valid() const
{
    require_distances();
    const auto refuse = [](const std::string& what, const char* key) {
        throw Error{Failure::usage, what, key};
    };
    if (weight.size() != outer_m.size())
        refuse(fmt::format("{} weights for {} distances", weight.size(), outer_m.size()),
               "rings.weight");
    for (const double w : weight)
        if (!std::isfinite(w) || w < 0)
            refuse(fmt::format("weights must be 0 or more, {:g} is not", w), "rings.weight");
    const double sum = std::accumulate(weight.begin(), weight.end(), 0.0);
    if (sum <= 0)
        refuse("at least one weight must be above 0", "rings.weight");
    if (!std::isfinite(100 * sum))
        refuse("the sum of the weights is not finite", "rings.weight");
}

std::optional<double> exposure(const StructureMeasure& m, const RingPlan& plan)
{
    const double total = mapped_weight(m, plan);
    if (total <= 0)
        return std::nullopt;
    double sum = 0;
    for (std::size_t k = 0; k < m.rings.size(); ++k)
        sum += plan.weight[k] * m.rings[k].conifer_frac().value_or(0);
    return 100 * sum / total;
}

std::vector<double> points_per_m2(const StructureMeasure& m, const RingPlan& plan)
{
    const double total = mapped_weight(m, plan);
    std::vector<double> points(m.rings.size(), 0.0);
    for (std::size_t k = 0; k < m.rings.size() && total > 0; ++k)
        if (m.rings[k].counts_as_mapped())
            points[k] = 100 * plan.weight[k] / (total * m.rings[k].mapped_m2);
    return points;
}

RingArea within_distance(const StructureMeasure& m, std::size_t k)
{
    if (k >= m.rings.size())
        throw std::out_of_range{fmt::format("within_distance: ring {} of {}", k, m.rings.size())};
    RingArea sum;
    for (std::size_t i = 0; i <= k; ++i)
        sum = sum + m.rings[i];
    return sum;
}

} // namespace fuelring
