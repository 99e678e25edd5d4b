// SPDX-License-Identifier: Apache-2.0

// Every figure is a total over the drawn ground of a score that each point gets, as in
// accuracy.cpp: the sum over classes of area times mean score, with the variance area^2 s^2 / n.
// Here points keep their own scores, so that cells may be mixed and parts of the ground may be
// asked for.
#include "change/reference_estimate.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

/// Scores of the points of one class.
struct Scores {
    double n = 0;
    double mean = 0;
    double squares = 0; ///< of deviations from the mean

    /// Source: Welford 1962, Technometrics 4:419-420 (from memory).
    void add(double score)
    {
        n += 1;
        const double off = score - mean;
        mean += off / n;
        squares += off * (score - mean);
    }
    std::optional<double> variance_of_mean() const
    {
        return n < 2 ? std::nullopt : std::optional{squares / (n - 1) / n};
    }
};

/// score(point number) by class.
template <typename Score>
std::array<Scores, drawn_classes> scores_of(const ReferenceSample& sample, Score&& score)
{
    std::array<Scores, drawn_classes> scores;
    for (std::size_t p = 0; p < sample.points.size(); ++p)
        scores[sample.points[p].map_class].add(score(p));
    return scores;
}

/// The total over the drawn ground.
template <typename Score>
Estimate total(const ReferenceSample& sample, Score&& score)
{
    Estimate estimate;
    double variance = 0;
    bool known = true;
    const auto scores = scores_of(sample, score);
    for (std::size_t h = 0; h < drawn_classes; ++h) {
        const double m2 = sample.drawn_m2[h];
        if (!(m2 > 0))
            continue;
        const auto of_mean = scores[h].variance_of_mean();
        estimate.value += m2 * scores[h].mean;
        variance += m2 * m2 * of_mean.value_or(0);
        known = known && of_mean;
    }
    if (known)
        estimate.se = std::sqrt(variance);
    return estimate;
}

Estimate divided(const Estimate& estimate, double by)
{
    return {estimate.value / by, estimate.se ? std::optional{*estimate.se / by} : std::nullopt};
}

std::optional<Estimate> users_of(const ReferenceSample& sample, std::size_t k)
{
    const Scores own =
        scores_of(sample, [&](std::size_t p) { return sample.points[p].found[k]; })[k];
    if (own.n < 1)
        return std::nullopt;
    const auto variance = own.variance_of_mean();
    return Estimate{own.mean, variance ? std::optional{std::sqrt(*variance)} : std::nullopt};
}

std::optional<Estimate> producers_of(const ReferenceSample& sample, std::size_t k)
{
    const auto hit = [&](std::size_t p) {
        const JudgedPoint& point = sample.points[p];
        return point.map_class == k ? point.found[k] : 0;
    };
    const double area =
        total(sample, [&](std::size_t p) { return sample.points[p].found[k]; }).value;
    if (!(area > 0))
        return std::nullopt;
    const double share = total(sample, hit).value / area;
    const Estimate off =
        total(sample, [&](std::size_t p) { return hit(p) - share * sample.points[p].found[k]; });
    return Estimate{share, divided(off, area).se};
}

double sum_of(const std::array<double, drawn_classes>& m2)
{
    double sum = 0;
    for (const double of_class : m2)
        sum += of_class;
    return sum;
}

} // namespace

std::array<std::int64_t, drawn_classes> ReferenceSample::counts() const
{
    std::array<std::int64_t, drawn_classes> counts{};
    for (const JudgedPoint& point : points)
        ++counts[point.map_class];
    return counts;
}

void ReferenceSample::require_covered() const
{
    const auto n = counts();
    const double all = sum_of(drawn_m2);
    if (points.empty())
        throw Error{Failure::input, "no reference point is judged", source,
                    "fill in the column reference"};
    for (std::size_t h = 0; h < drawn_classes; ++h)
        if (drawn_m2[h] > 0 && n[h] == 0)
            throw Error{Failure::input,
                        fmt::format("class {} covers {:.4g}% of the mapped land and has no "
                                    "reference points",
                                    drawn_class_names[h], 100 * drawn_m2[h] / all),
                        source, "judge some of its points"};
}

Estimate corrected_area(const ReferenceSample& sample, const std::vector<bool>& inside,
                        std::size_t change_class, double mapped_m2)
{
    Estimate correction = total(sample, [&](std::size_t p) {
        const JudgedPoint& point = sample.points[p];
        return inside[p] ? point.found[change_class] - point.mapped[change_class] : 0;
    });
    correction.value += mapped_m2;
    return correction;
}

ReferenceAccuracy accuracy_of(const ReferenceSample& sample)
{
    sample.require_covered();
    ReferenceAccuracy accuracy;
    const auto n = sample.counts();
    for (std::size_t k = 0; k < drawn_classes; ++k)
        accuracy.classes[k] = {
            sample.drawn_m2[k], n[k], {}, users_of(sample, k), producers_of(sample, k)};
    for (const JudgedPoint& point : sample.points)
        for (std::size_t k = 0; k < drawn_classes; ++k)
            accuracy.classes[point.map_class].found[k] += point.found[k];
    accuracy.points = static_cast<std::int64_t>(sample.points.size());
    accuracy.overall = divided(total(sample,
                                     [&](std::size_t p) {
                                         const JudgedPoint& point = sample.points[p];
                                         return point.found[point.map_class];
                                     }),
                               sum_of(sample.drawn_m2));
    return accuracy;
}

ReferenceAccuracy accuracy_of(const ConfusionMatrix& matrix,
                              const std::array<double, drawn_classes>& drawn_m2)
{
    const Accuracy assessed = assess(matrix, drawn_m2);
    ReferenceAccuracy accuracy;
    accuracy.overall = assessed.overall;
    for (std::size_t h = 0; h < drawn_classes; ++h) {
        ReferenceAccuracy::OfClass& of = accuracy.classes[h];
        of = {drawn_m2[h],
              matrix.points(h),
              {},
              assessed.classes[h].users,
              assessed.classes[h].producers};
        for (std::size_t k = 0; k < drawn_classes; ++k)
            of.found[k] = static_cast<double>(matrix.at(h, k));
        accuracy.points += of.points;
    }
    return accuracy;
}

} // namespace fuelring
