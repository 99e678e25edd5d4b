// SPDX-License-Identifier: Apache-2.0

// Every figure here is a mean over the map, estimated from points drawn within its classes. Each
// point gets a score from what the map and the reference say of it: 1 where they agree gives the
// overall accuracy, 1 where the reference says k gives the share of k, a weight for each reference
// class gives a mixture. The mean is that of the classes by their share W of the ground; its
// variance is the sum of W^2 s^2 / n, where s^2 is the variance of scores among the n points of a
// class. For scores of 0 and 1, s^2 / n = p (1 - p) / (n - 1), which is how equations 5, 6 and 10
// of Olofsson et al. (2014) are written.
//
// Producer's accuracy is a ratio of two such means, P = Y / X. Its variance is that of the mean of
// y - P x, divided by X^2. For class k that score is 1 - P where map and reference say k, -P where
// only the reference does: written out, equation 7.
#include <fuelring/error.hpp>
#include <fuelring/statistics/accuracy.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

struct Moments {
    double mean = 0;
    std::optional<double> variance_of_mean; ///< empty for a single point
};

/// Mean of score(reference) over the points of one map class. Requires: it has points.
template <typename Score>
Moments class_mean(const ConfusionMatrix& matrix, std::size_t map, Score&& score)
{
    const auto n = static_cast<double>(matrix.points(map));
    Moments m;
    for (std::size_t j = 0; j < matrix.size(); ++j)
        m.mean += static_cast<double>(matrix.at(map, j)) * score(j);
    m.mean /= n;
    if (n < 2)
        return m;
    double squares = 0;
    for (std::size_t j = 0; j < matrix.size(); ++j) {
        const double off = score(j) - m.mean;
        squares += static_cast<double>(matrix.at(map, j)) * off * off;
    }
    m.variance_of_mean = squares / (n - 1) / n;
    return m;
}

/// Mean of score(map, reference) over the map. `share` of each class; those of 0 count for nothing.
template <typename Score>
Estimate map_mean(const ConfusionMatrix& matrix, std::span<const double> share, Score&& score)
{
    Estimate estimate{0, std::nullopt};
    double variance = 0;
    bool known = true;
    for (std::size_t i = 0; i < matrix.size(); ++i) {
        if (share[i] <= 0)
            continue;
        const Moments m = class_mean(matrix, i, [&score, i](std::size_t j) { return score(i, j); });
        estimate.value += share[i] * m.mean;
        variance += share[i] * share[i] * m.variance_of_mean.value_or(0);
        known = known && m.variance_of_mean.has_value();
    }
    if (known)
        estimate.se = std::sqrt(variance);
    return estimate;
}

Estimate scaled(const Estimate& estimate, double factor)
{
    return {estimate.value * factor,
            estimate.se ? std::optional{*estimate.se * factor} : std::nullopt};
}

/// The ground as its classes divide it.
struct Ground {
    std::vector<double> share;
    double total = 0;
};

Ground divided_ground(const ConfusionMatrix& matrix, std::span<const double> mapped_area)
{
    matrix.require_valid();
    if (mapped_area.size() != matrix.size())
        throw Error{Failure::input, fmt::format("{} mapped areas for {} classes",
                                                mapped_area.size(), matrix.size())};
    Ground ground{{mapped_area.begin(), mapped_area.end()}, 0};
    for (std::size_t i = 0; i < matrix.size(); ++i) {
        if (!(mapped_area[i] >= 0) || !std::isfinite(mapped_area[i]))
            throw Error{Failure::input, fmt::format("an area of {} is mapped as {}", mapped_area[i],
                                                    matrix.classes[i])};
        ground.total += mapped_area[i];
    }
    if (!(ground.total > 0) || !std::isfinite(ground.total))
        throw Error{Failure::input, fmt::format("mapped areas sum to {}", ground.total)};
    for (std::size_t i = 0; i < matrix.size(); ++i) {
        ground.share[i] /= ground.total;
        if (ground.share[i] > 0 && matrix.points(i) == 0)
            throw Error{Failure::input,
                        fmt::format("class {} covers {:.4g}% of the mapped land and has no "
                                    "reference points",
                                    matrix.classes[i], 100 * ground.share[i]),
                        "the confusion matrix",
                        "add points that are mapped as this class, or join it with another class "
                        "in map and matrix"};
    }
    return ground;
}

std::optional<Estimate> users_accuracy(const ConfusionMatrix& matrix, std::size_t k)
{
    if (matrix.points(k) == 0)
        return std::nullopt;
    const Moments m = class_mean(matrix, k, [k](std::size_t j) { return j == k ? 1.0 : 0.0; });
    Estimate users{m.mean, std::nullopt};
    if (m.variance_of_mean)
        users.se = std::sqrt(*m.variance_of_mean);
    return users;
}

/// `area_share` is that of class k by the reference.
std::optional<Estimate> producers_accuracy(const ConfusionMatrix& matrix, const Ground& ground,
                                           std::size_t k, double area_share)
{
    if (!(area_share > 0))
        return std::nullopt;
    const double found = map_mean(matrix, ground.share, [k](std::size_t i, std::size_t j) {
                             return i == k && j == k ? 1.0 : 0.0;
                         }).value;
    const double p = found / area_share;
    const Estimate off = map_mean(matrix, ground.share, [k, p](std::size_t i, std::size_t j) {
        return j != k ? 0 : i == k ? 1 - p : -p;
    });
    return Estimate{p, scaled(off, 1 / area_share).se};
}

} // namespace

Accuracy assess(const ConfusionMatrix& matrix, std::span<const double> mapped_area)
{
    const Ground ground = divided_ground(matrix, mapped_area);
    Accuracy accuracy;
    accuracy.total_area = ground.total;
    accuracy.overall = map_mean(matrix, ground.share,
                                [](std::size_t i, std::size_t j) { return i == j ? 1.0 : 0.0; });
    for (std::size_t k = 0; k < matrix.size(); ++k) {
        ClassAccuracy c;
        c.users = users_accuracy(matrix, k);
        c.area_share = map_mean(matrix, ground.share,
                                [k](std::size_t, std::size_t j) { return j == k ? 1.0 : 0.0; });
        c.area = scaled(c.area_share, ground.total);
        c.producers = producers_accuracy(matrix, ground, k, c.area_share.value);
        accuracy.classes.push_back(c);
    }
    return accuracy;
}

Estimate weighted_area(const ConfusionMatrix& matrix, std::span<const double> mapped_area,
                       std::span<const double> weight)
{
    const Ground ground = divided_ground(matrix, mapped_area);
    if (weight.size() != matrix.size())
        throw Error{Failure::input,
                    fmt::format("{} weights for {} classes", weight.size(), matrix.size())};
    if (!std::all_of(weight.begin(), weight.end(), [](double w) { return std::isfinite(w); }))
        throw Error{Failure::input, "a class has a weight that is not finite"};
    const Estimate area = scaled(
        map_mean(matrix, ground.share, [weight](std::size_t, std::size_t j) { return weight[j]; }),
        ground.total);
    if (!std::isfinite(area.value) || !std::isfinite(area.se.value_or(0)))
        throw Error{Failure::input, "weights are too large: their area is not finite"};
    return area;
}

} // namespace fuelring
