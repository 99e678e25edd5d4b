// SPDX-License-Identifier: Apache-2.0

// Footprints and raster are off against each other by a metre or so, nobody knows which way. So
// every figure is computed again with all footprints shifted together, for a fixed set of shifts:
// what changes much is not known well. Outlines are the same wherever they lie; a shift moves their
// pieces by a constant, and neighbours keep sharing their ends bit for bit.
//
// Rank r is held by whoever has r - 1 others strictly above, so the first n ranks are held by all
// whose figure is at least the n-th largest: no draw has to be sorted.

#include "exposure/draws.hpp"

#include "exposure/measure_parts.hpp"
#include "exposure/percentile.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>

namespace fuelring {

namespace {

constexpr double least_percent = 5;
constexpr double most_percent = 95;
constexpr double nothing = std::numeric_limits<double>::quiet_NaN();

Box widened(const Box& box, std::span<const Point> shifts)
{
    Box all = box;
    for (const Point s : shifts) {
        all.take_in(box.min + s);
        all.take_in(box.max + s);
    }
    return all;
}

/// Counts, draw by draw, how often each of some figures is among the first.
class FirstCounter {
public:
    FirstCounter(std::size_t figures, std::int64_t first)
        : first_(first), drawn_(figures), in_first_(figures)
    {}

    /// `figures` of one draw; NaN where there is none.
    void add(std::span<const double> figures)
    {
        keys_.clear();
        for (const double figure : figures)
            if (!std::isnan(figure))
                keys_.push_back(rank_key(figure));
        const double least = least_of_first();
        for (std::size_t i = 0; i < figures.size(); ++i) {
            if (std::isnan(figures[i]))
                continue;
            ++drawn_[i];
            in_first_[i] += rank_key(figures[i]) >= least ? 1 : 0;
        }
    }

    std::optional<double> share(std::size_t i) const
    {
        if (drawn_[i] == 0)
            return std::nullopt;
        return static_cast<double>(in_first_[i]) / static_cast<double>(drawn_[i]);
    }

private:
    // nth_element is linear: the others need no order.
    double least_of_first()
    {
        if (static_cast<std::int64_t>(keys_.size()) <= first_)
            return -std::numeric_limits<double>::infinity();
        const auto last = keys_.begin() + (first_ - 1);
        std::nth_element(keys_.begin(), last, keys_.end(), std::greater<>{});
        return *last;
    }

    std::int64_t first_;
    std::vector<double> keys_;
    std::vector<std::int64_t> drawn_;
    std::vector<std::int64_t> in_first_;
};

/// Mean exposures in one draw: of every neighbourhood, of the structures in none, of all.
class Means {
public:
    explicit Means(const Community& community)
        : community_(&community), outside_(community.neighbourhoods.size())
    {}

    const std::vector<double>& of(std::span<const double> exposures)
    {
        sums_.assign(outside_ + 2, 0);
        counts_.assign(outside_ + 2, 0);
        for (std::size_t i = 0; i < exposures.size(); ++i) {
            if (std::isnan(exposures[i]))
                continue;
            const std::size_t n = community_->structures[i].neighbourhood.value_or(outside_);
            for (const std::size_t to : {n, outside_ + 1}) {
                sums_[to] += exposures[i];
                ++counts_[to];
            }
        }
        for (std::size_t n = 0; n < sums_.size(); ++n)
            sums_[n] = counts_[n] ? sums_[n] / static_cast<double>(counts_[n]) : nothing;
        return sums_;
    }

    std::size_t place_of(const NeighbourhoodRow& row) const
    {
        return row.neighbourhood.value_or(row.name == community_row ? outside_ + 1 : outside_);
    }

private:
    const Community* community_;
    std::size_t outside_;
    std::vector<double> sums_;
    std::vector<std::int64_t> counts_;
};

} // namespace

Spread spread_of(std::vector<double>& values)
{
    std::sort(values.begin(), values.end());
    return {percentile(values, least_percent), percentile(values, most_percent)};
}

std::vector<StructureMeasure> measure_shifted(const RingOutlines& outlines,
                                              std::span<const Point> shifts, const CellFrame& frame,
                                              const Grid& grid, const FuelWindow& fuel)
{
    const Box reach = widened(bounds(outlines.within.back()), shifts);
    const coverage::Gatherer gatherer{frame, grid, fuel, reach};
    const std::vector<double> areas = areas_within(outlines);
    std::vector<StructureMeasure> measures;
    measures.reserve(shifts.size());
    std::vector<coverage::Integral> within(outlines.within.size());
    const bool bare = gatherer.sees_bare_ground_only();
    for (const Point shift : shifts) {
        if (bare && !measures.empty()) { // nothing a shift could bring in
            measures.push_back(measures.front());
            continue;
        }
        for (std::size_t k = 0; k < within.size(); ++k)
            within[k] = gatherer.integrate(outlines.within[k], shift);
        measures.push_back(rings_between(within, areas, grid));
    }
    return measures;
}

StructureDraws spreads_of(std::span<const StructureMeasure> measures, const RingPlan& plan,
                          std::span<double> exposures)
{
    StructureDraws draws;
    std::vector<double> values;
    for (std::size_t d = 0; d < measures.size(); ++d) {
        const std::optional<double> e = exposure(measures[d], plan);
        exposures[d] = e.value_or(nothing);
        if (e)
            values.push_back(*e);
    }
    draws.with_exposure = static_cast<std::int64_t>(values.size());
    draws.exposure = spread_of(values);
    for (std::size_t k = 0; k < plan.outer_m.size(); ++k) {
        values.clear();
        for (const StructureMeasure& m : measures)
            if (const auto frac = m.rings[k].conifer_frac())
                values.push_back(*frac);
        draws.conifer_frac.push_back(spread_of(values));
    }
    return draws;
}

std::int64_t first_of(std::optional<std::int64_t> asked, std::int64_t ranked)
{
    return asked.value_or(std::max<std::int64_t>((ranked + 9) / 10, 1));
}

bool is_outside(const Spread& spread, const std::optional<double>& figure)
{
    return figure && spread.p05 && spread.p95 &&
           (rank_key(*figure) < rank_key(*spread.p05) || rank_key(*figure) > rank_key(*spread.p95));
}

void flag_outside(RegistrationDraws& draws, std::vector<StructureResult>& results)
{
    for (std::size_t i = 0; i < results.size(); ++i)
        if (is_outside(draws.structures[i].exposure, results[i].exposure)) {
            results[i].flags |= 1U << static_cast<unsigned>(Flag::outside_draws);
            ++draws.outside;
        }
}

void rank_draws(const Community& community, std::span<const NeighbourhoodRow> rows,
                const ExposureDraws& exposures, RankBy by, RegistrationDraws& draws)
{
    const bool times = by == RankBy::exposure_x_susceptibility;
    const std::size_t neighbourhoods = community.neighbourhoods.size();
    FirstCounter structures{exposures.structures(), draws.first_structures};
    FirstCounter of_neighbourhoods{neighbourhoods, draws.first_neighbourhoods};
    Means means{community};
    std::vector<std::vector<double>> means_of(neighbourhoods + 2);
    std::vector<double> drawn(exposures.structures());
    std::vector<bool> is_ranked(neighbourhoods);
    for (const NeighbourhoodRow& row : rows)
        if (row.neighbourhood)
            is_ranked[*row.neighbourhood] = row.rank.has_value();
    for (std::size_t d = 0; d < exposures.draws(); ++d) {
        for (std::size_t i = 0; i < drawn.size(); ++i)
            drawn[i] = exposures.at(i, d);
        const std::vector<double>& mean = means.of(drawn);
        for (std::size_t n = 0; n < mean.size(); ++n)
            if (!std::isnan(mean[n]))
                means_of[n].push_back(mean[n]);
        for (std::size_t i = 0; times && i < drawn.size(); ++i)
            drawn[i] *= community.susceptibility[i];
        structures.add(drawn);
        std::vector<double> of_ranked = means.of(drawn);
        for (std::size_t n = 0; n < neighbourhoods; ++n)
            if (!is_ranked[n])
                of_ranked[n] = nothing;
        of_neighbourhoods.add(std::span{of_ranked}.first(neighbourhoods));
    }
    for (std::size_t i = 0; i < draws.structures.size(); ++i)
        draws.structures[i].in_first = structures.share(i);
    for (const NeighbourhoodRow& row : rows) {
        NeighbourhoodDraws& to = draws.neighbourhoods.emplace_back();
        to.mean_exposure = spread_of(means_of[means.place_of(row)]);
        if (row.neighbourhood)
            to.in_first = of_neighbourhoods.share(*row.neighbourhood);
    }
}

} // namespace fuelring
