// SPDX-License-Identifier: Apache-2.0

// Trial by trial: nothing of a trial is kept but what ranges, shares and moments need.
#include "run/stages/sensitivity.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace fuelring {

namespace {

constexpr double without_mean = std::numeric_limits<double>::quiet_NaN();

/// Least and largest of some figures, and the moments of those of the draws.
struct Moments {
    double lowest = std::numeric_limits<double>::infinity();
    double highest = -std::numeric_limits<double>::infinity();
    double n = 0, mean = 0, squares = 0;

    void take_in(double value)
    {
        lowest = std::min(lowest, value);
        highest = std::max(highest, value);
    }
    void add_draw(double value)
    {
        n += 1;
        const double off = value - mean;
        mean += off / n;
        squares += off * (value - mean);
    }
    std::optional<double> spread() const
    {
        return n < 2 ? std::nullopt : std::optional{std::sqrt(squares / (n - 1))};
    }
    bool any() const { return lowest <= highest; }
};

/// Rows of the neighbourhood table that have a rank, and the homes that make their means.
class RankedNeighbourhoods {
public:
    RankedNeighbourhoods(const Community& community, const std::vector<StructureResult>& results,
                         const std::vector<NeighbourhoodRow>& rows, RankBy by)
    {
        std::vector<std::optional<std::size_t>> place(community.neighbourhoods.size());
        for (const NeighbourhoodRow& row : rows)
            if (row.neighbourhood && row.rank) {
                place[*row.neighbourhood] = rows_.size();
                rows_.push_back(&row);
            }
        homes_.resize(rows_.size());
        for (std::size_t i = 0; i < results.size(); ++i) {
            const auto n = community.structures[i].neighbourhood;
            if (n && place[*n])
                homes_[*place[*n]].push_back(i);
        }
        by_product_ = by == RankBy::exposure_x_susceptibility;
    }

    const std::vector<const NeighbourhoodRow*>& rows() const { return rows_; }
    const std::vector<std::size_t>& homes(std::size_t row) const { return homes_[row]; }

    /// Mean of the homes that have a figure.
    double mean(std::span<const double> figures, std::size_t row) const
    {
        double sum = 0;
        double n = 0;
        for (const std::size_t i : homes_[row])
            if (!std::isnan(figures[i])) {
                sum += figures[i];
                n += 1;
            }
        return n > 0 ? sum / n : without_mean;
    }

private:
    std::vector<const NeighbourhoodRow*> rows_;
    std::vector<std::vector<std::size_t>> homes_;
    bool by_product_ = false;
};

std::int64_t ranked_structures(const std::vector<StructureResult>& results)
{
    return std::count_if(results.begin(), results.end(),
                         [](const StructureResult& r) { return r.rank.has_value(); });
}

class Finder {
public:
    Finder(const StageContext& context, const std::vector<StructureResult>& results,
           const std::vector<NeighbourhoodRow>& rows)
        : context_(context),
          plan_(context.config.sensitivity.value()), ranked_{context.community, results, rows,
                                                             context.config.output.rank_by},
          first_(first_of(plan_.first, ranked_structures(results))),
          first_neighbourhoods_(first_of(plan_.first_neighbourhoods,
                                         static_cast<std::int64_t>(ranked_.rows().size()))),
          homes_{results.size(), first_}, of_neighbourhoods_{ranked_.rows().size(),
                                                             first_neighbourhoods_},
          moments_(results.size()), means_(ranked_.rows().size()), expected_(results.size())
    {
        for (std::size_t k = 0; k + 1 < ranked_.rows().size(); ++k)
            of_neighbourhoods_.compare(k, k + 1);
    }

    void take(TrialKind kind, std::span<const double> exposures)
    {
        for (std::size_t i = 0; i < exposures.size(); ++i) {
            if (std::isnan(exposures[i]))
                continue;
            if (kind == TrialKind::expected)
                expected_[i] = exposures[i];
            moments_[i].take_in(exposures[i]);
            if (kind == TrialKind::drawn)
                moments_[i].add_draw(exposures[i]);
        }
        std::vector<double> figures{exposures.begin(), exposures.end()};
        if (context_.config.output.rank_by == RankBy::exposure_x_susceptibility)
            for (std::size_t i = 0; i < figures.size(); ++i)
                figures[i] *= context_.community.susceptibility[i];
        homes_.add(figures);
        ++trials_;
        std::vector<double> mean_figures;
        for (std::size_t k = 0; k < means_.size(); ++k) {
            mean_figures.push_back(ranked_.mean(figures, k));
            const double mean = ranked_.mean(exposures, k);
            if (!std::isnan(mean))
                means_[k].take_in(mean);
        }
        of_neighbourhoods_.add(mean_figures);
        ++neighbourhood_trials_;
        if (kind == TrialKind::run)
            resample(figures);
    }

    SensitivityFindings findings() const
    {
        SensitivityFindings all;
        all.trials = trials_;
        all.neighbourhood_trials = neighbourhood_trials_;
        all.first_structures = first_;
        all.first_neighbourhoods = first_neighbourhoods_;
        for (std::size_t i = 0; i < moments_.size(); ++i) {
            const Moments& m = moments_[i];
            all.structures.push_back(
                {homes_.of(i), m.any() ? std::optional{m.lowest} : std::nullopt,
                 m.any() ? std::optional{m.highest} : std::nullopt, expected_[i], m.spread()});
        }
        std::vector<std::optional<double>> above;
        for (std::size_t k = 0; k < means_.size(); ++k) {
            const Moments& m = means_[k];
            const bool last = k + 1 == means_.size();
            all.neighbourhoods.push_back({ranked_.rows()[k]->name, *ranked_.rows()[k]->rank,
                                          of_neighbourhoods_.of(k),
                                          m.any() ? std::optional{m.lowest} : std::nullopt,
                                          m.any() ? std::optional{m.highest} : std::nullopt,
                                          last ? std::nullopt : of_neighbourhoods_.above(k), 0});
            if (!last)
                above.push_back(all.neighbourhoods.back().above_next);
        }
        if (!means_.empty()) {
            const auto groups = toss_ups(above);
            for (std::size_t g = 0; g < groups.size(); ++g)
                for (const std::size_t k : groups[g])
                    all.neighbourhoods[k].group = g;
        }
        return all;
    }

private:
    /// `figures`: of the run, which ranks compare.
    void resample(const std::vector<double>& figures)
    {
        for (int draw = 0; draw < plan_.resamples; ++draw) {
            std::vector<double> mean_figures;
            for (std::size_t k = 0; k < means_.size(); ++k) {
                std::vector<double> known;
                for (const std::size_t i : ranked_.homes(k))
                    if (!std::isnan(figures[i]))
                        known.push_back(figures[i]);
                double sum = 0;
                for (const std::size_t at :
                     resampled(known.size(), plan_.seed, static_cast<std::uint64_t>(draw), k))
                    sum += known[at];
                mean_figures.push_back(known.empty() ? without_mean
                                                     : sum / static_cast<double>(known.size()));
            }
            of_neighbourhoods_.add(mean_figures);
            ++neighbourhood_trials_;
        }
    }

    const StageContext& context_;
    const SensitivityPlan& plan_;
    RankedNeighbourhoods ranked_;
    std::int64_t first_;
    std::int64_t first_neighbourhoods_;
    RankTally homes_;
    RankTally of_neighbourhoods_;
    std::vector<Moments> moments_; ///< by structure
    std::vector<Moments> means_;   ///< by ranked neighbourhood
    std::vector<std::optional<double>> expected_;
    std::int64_t trials_ = 0;
    std::int64_t neighbourhood_trials_ = 0;
};

} // namespace

SensitivityFindings find_sensitivity(const StageContext& context,
                                     const std::vector<StructureResult>& results,
                                     const std::vector<NeighbourhoodRow>& rows)
{
    Finder finder{context, results, rows};
    for_each_trial(context, results, [&](TrialKind kind, std::span<const double> exposures) {
        finder.take(kind, exposures);
    });
    return finder.findings();
}

} // namespace fuelring
