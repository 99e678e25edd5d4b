// SPDX-License-Identifier: Apache-2.0

// What a ranking owes to choices that somebody made. Exposure is linear in weights and in shares,
// so most trials are sums over what the run has measured anyway.
#include "sensitivity/sensitivity.hpp"

#include "base/mixed_number.hpp"
#include "exposure/ranking.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

namespace fuelring {

namespace {

constexpr std::int64_t no_rank = 0;

/// By figure; no_rank where there is none.
std::vector<std::int64_t> ranks_of(std::span<const double> figures)
{
    std::vector<std::size_t> order;
    for (std::size_t i = 0; i < figures.size(); ++i)
        if (!std::isnan(figures[i]))
            order.push_back(i);
    std::sort(order.begin(), order.end(), [figures](std::size_t a, std::size_t b) {
        return rank_key(figures[a]) > rank_key(figures[b]);
    });
    std::vector<std::int64_t> ranks(figures.size(), no_rank);
    for (std::size_t k = 0; k < order.size(); ++k) {
        const bool tied = k > 0 && rank_key(figures[order[k]]) == rank_key(figures[order[k - 1]]);
        ranks[order[k]] = tied ? ranks[order[k - 1]] : static_cast<std::int64_t>(k) + 1;
    }
    return ranks;
}

} // namespace

RankTally::RankTally(std::size_t figures, std::int64_t first)
    : first_(first), best_(figures, std::numeric_limits<std::int64_t>::max()), worst_(figures),
      trials_(figures), in_first_(figures)
{}

void RankTally::add(std::span<const double> figures)
{
    const std::vector<std::int64_t> ranks = ranks_of(figures);
    for (std::size_t i = 0; i < ranks.size(); ++i) {
        if (ranks[i] == no_rank)
            continue;
        best_[i] = std::min(best_[i], ranks[i]);
        worst_[i] = std::max(worst_[i], ranks[i]);
        ++trials_[i];
        in_first_[i] += ranks[i] <= first_ ? 1 : 0;
    }
    for (Pair& pair : pairs_) {
        const std::int64_t upper = ranks[pair.upper];
        const std::int64_t lower = ranks[pair.lower];
        if (upper == no_rank || lower == no_rank)
            continue;
        ++pair.trials;
        pair.above += upper < lower ? 1 : upper == lower ? 0.5 : 0;
    }
}

RankTally::Range RankTally::of(std::size_t i) const
{
    if (trials_[i] == 0)
        return {};
    return {best_[i], worst_[i],
            static_cast<double>(in_first_[i]) / static_cast<double>(trials_[i])};
}

std::optional<double> RankTally::above(std::size_t pair) const
{
    const Pair& p = pairs_.at(pair);
    return p.trials == 0 ? std::nullopt : std::optional{p.above / static_cast<double>(p.trials)};
}

bool joins(const RingPlan& fine, const RingPlan& coarse)
{
    return std::all_of(coarse.outer_m.begin(), coarse.outer_m.end(), [&](double m) {
        return std::find(fine.outer_m.begin(), fine.outer_m.end(), m) != fine.outer_m.end();
    });
}

StructureMeasure joined(const StructureMeasure& measure, const RingPlan& fine,
                        const RingPlan& coarse)
{
    StructureMeasure result;
    result.roof = measure.roof;
    std::size_t k = 0;
    for (const double outer_m : coarse.outer_m) {
        RingArea ring;
        for (; k < fine.outer_m.size() && fine.outer_m[k] <= outer_m; ++k)
            ring = ring + measure.rings[k];
        result.rings.push_back(ring);
    }
    return result;
}

std::vector<std::size_t> resampled(std::size_t count, std::uint64_t seed, std::uint64_t draw,
                                   std::uint64_t neighbourhood)
{
    std::vector<std::size_t> homes(count);
    const std::uint64_t of_draw = mixed_number(seed, draw, neighbourhood);
    for (std::size_t k = 0; k < count; ++k)
        homes[k] = static_cast<std::size_t>(share_of_number(mixed_number(of_draw, k, 0)) *
                                            static_cast<double>(count));
    return homes;
}

std::vector<std::vector<std::size_t>> toss_ups(std::span<const std::optional<double>> above)
{
    std::vector<std::vector<std::size_t>> groups{{0}};
    for (std::size_t k = 0; k < above.size(); ++k) {
        if (!above[k] || *above[k] >= 1 - toss_up_share)
            groups.emplace_back();
        groups.back().push_back(k + 1);
    }
    return groups;
}

} // namespace fuelring
