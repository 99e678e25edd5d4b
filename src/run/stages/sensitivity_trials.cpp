// SPDX-License-Identifier: Apache-2.0

// Exposure is linear in what each square metre counts. So the ground of every class whose share is
// in question is measured once, and trials are sums over it. A draw gives the cells of one class in
// one square of the raster one true class, which depends on seed, draw, square and class alone.
#include "run/stages/sensitivity_trials.hpp"

#include "base/mixed_number.hpp"
#include "run/inputs/class_trials.hpp"
#include "run/schedule/parallel.hpp"
#include "run/schedule/tiles.hpp"
#include "run/stages/stage_phases.hpp"
#include "run/stages/tile_fuel.hpp"
#include "sensitivity/sensitivity.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <set>

namespace fuelring {

namespace {

constexpr double nothing_known = std::numeric_limits<double>::quiet_NaN();
constexpr auto whole_cell_share = static_cast<double>(whole_share);

std::vector<StructureMeasure> measured(const StageContext& context, const FuelVariant& variant,
                                       const RingPlan& rings)
{
    const Config& config = context.config;
    const double beyond_m = std::max(rings.widest_m() - config.rings.widest_m(), 0.0) *
                            config.furthest_m() / config.rings.widest_m();
    const TileIndex index = TileIndex::of_owners(context.community, context.tile_cells);
    std::vector<StructureMeasure> measures(context.community.structures.size());
    context.progress.begin(of_structures("trying other choices around", index, work_of::measure));
    for_each_in_parallel<TileFuel>(
        context.jobs, index.tiles().size(),
        [&] {
            return TileFuel{context, beyond_m, &variant};
        },
        [&](TileFuel& fuel, std::size_t t) {
            context.check_cancelled();
            double seconds = 0;
            const auto structures = index.structures(index.tiles()[t]);
            fuel.for_each(
                structures, seconds, seconds, [&](std::size_t k, const FuelWindow& window) {
                    const Structure& s = context.community.structures[structures[k]];
                    measures[structures[k]] =
                        measure(s.footprint, ring_outlines(s.footprint, rings, s.stretch), s.frame,
                                context.raster.grid().at_scale(s.map_scale), window, rings);
                });
            context.progress.advance(static_cast<std::int64_t>(structures.size()));
        },
        [](const TileFuel&) {});
    return measures;
}

/// Every class counts as conifers by these shares, 0 to 1, by class index.
FuelVariant with_conifers(const FuelClassTable& classes, const std::vector<std::int32_t>& shares)
{
    FuelVariant variant{contributions(classes), {}};
    for (std::size_t c = 0; c < shares.size(); ++c) {
        variant.contributions[c].conifer = variant.contributions[c].mapped ? shares[c] : 0;
        variant.contributions[c].other_burnable = 0;
    }
    return variant;
}

/// Differences of shares, 0 to 1, that a trial makes; by class index.
using ShareChange = std::map<ClassIndex, double>;

ShareChange change_between(const std::vector<std::int32_t>& from,
                           const std::vector<std::int32_t>& to)
{
    ShareChange change;
    for (std::size_t c = 0; c < from.size(); ++c)
        if (from[c] != to[c])
            change[static_cast<ClassIndex>(c)] = (to[c] - from[c]) / whole_cell_share;
    return change;
}

/// By trial, and last of the expected shares; nothing where distances are measured anew.
std::vector<ShareChange> share_changes(const SensitivityPlan& plan, const RingPlan& rings,
                                       const FuelClassTable& classes, const ClassTrials& read)
{
    const std::vector<std::int32_t> own = shares_of(classes);
    std::vector<ShareChange> changes;
    for (std::size_t t = 0; t < plan.trials.size(); ++t)
        changes.push_back(joins(rings, plan.trials[t].rings) ? change_between(own, read.shares[t])
                                                             : ShareChange{});
    ShareChange expected;
    for (std::size_t c = 0; read.confusion && c < own.size(); ++c)
        if (const auto& row = read.confusion->of[c])
            expected[static_cast<ClassIndex>(c)] = row->expected_share - own[c] / whole_cell_share;
    changes.push_back(std::move(expected));
    return changes;
}

class Trials {
public:
    Trials(const StageContext& context, const std::vector<StructureResult>& results)
        : context_(context), plan_(context.config.sensitivity.value()), results_(results),
          classes_(context.raster.classes()), rings_(context.config.rings),
          read_(read_class_trials(plan_, context.config.inputs.fuel.holds_shares(), classes_))
    {}

    void run(const TrialVisit& visit)
    {
        const std::vector<ShareChange> changes = share_changes(plan_, rings_, classes_, read_);
        const std::vector<std::vector<double>> added = added_conifers(changes);
        visit(TrialKind::run, exposures({}, rings_));
        for (std::size_t t = 0; t < plan_.trials.size(); ++t) {
            const RingPlan& rings = plan_.trials[t].rings;
            visit(TrialKind::stated,
                  joins(rings_, rings)
                      ? exposures(added[t], rings)
                      : exposures_of(
                            measured(context_, with_conifers(classes_, read_.shares[t]), rings),
                            rings));
        }
        if (!read_.confusion)
            return;
        visit(TrialKind::expected, exposures(added.back(), rings_));
        for (int draw = 0; draw < plan_.draws; ++draw)
            visit(TrialKind::drawn, exposures_of(measured(context_, drawn(draw), rings_), rings_));
    }

private:
    /// Square metres of conifers that each change adds, by structure and ring.
    std::vector<std::vector<double>> added_conifers(const std::vector<ShareChange>& changes) const
    {
        const std::size_t rings = rings_.outer_m.size();
        std::vector<std::vector<double>> added(changes.size());
        for (ClassIndex c = 0; c < classes_.rows().size(); ++c) {
            if (std::none_of(changes.begin(), changes.end(),
                             [c](const ShareChange& change) { return change.contains(c); }))
                continue;
            std::vector<std::int32_t> alone(classes_.rows().size());
            alone[c] = whole_share;
            const auto ground = measured(context_, with_conifers(classes_, alone), rings_);
            for (std::size_t t = 0; t < changes.size(); ++t) {
                const auto at = changes[t].find(c);
                if (at == changes[t].end())
                    continue;
                added[t].resize(ground.size() * rings);
                for (std::size_t i = 0; i < ground.size(); ++i)
                    for (std::size_t r = 0; r < rings; ++r)
                        added[t][i * rings + r] += at->second * ground[i].rings[r].conifer_m2;
            }
        }
        return added;
    }

    /// From the run's own measures. `added`: by structure and ring; empty: nothing.
    std::vector<double> exposures(const std::vector<double>& added, const RingPlan& rings) const
    {
        std::vector<double> result;
        for (std::size_t i = 0; i < results_.size(); ++i) {
            StructureMeasure m;
            m.rings = results_[i].measure->rings;
            for (std::size_t r = 0; r < m.rings.size() && !added.empty(); ++r)
                m.rings[r].conifer_m2 =
                    std::clamp(m.rings[r].conifer_m2 + added[i * m.rings.size() + r], 0.0,
                               m.rings[r].mapped_m2);
            result.push_back(exposure(joined(m, rings_, rings), rings).value_or(nothing_known));
        }
        return result;
    }

    static std::vector<double> exposures_of(const std::vector<StructureMeasure>& measures,
                                            const RingPlan& rings)
    {
        std::vector<double> result;
        for (const StructureMeasure& m : measures)
            result.push_back(exposure(m, rings).value_or(nothing_known));
        return result;
    }

    /// Sides of a square of the range, in cells.
    std::pair<std::int64_t, std::int64_t> square() const
    {
        const Grid& grid = context_.raster.grid();
        const LocalScale scale = context_.community.structures.front().map_scale;
        const auto cells = [this](double cell_m) {
            return std::max<std::int64_t>(std::llround(plan_.range_m / cell_m), 1);
        };
        return {cells(grid.cell_width_m() / scale.x), cells(grid.cell_height_m() / scale.y)};
    }

    FuelVariant drawn(int draw) const
    {
        const auto [cols, rows] = square();
        const auto number = static_cast<std::uint64_t>(draw);
        return {contributions(classes_), [this, cols = cols, rows = rows, number](
                                             const CellRect& rect, std::span<ClassIndex> cells) {
                    std::size_t at = 0;
                    for (std::int64_t row = rect.row; row < rect.row + rect.rows; ++row)
                        for (std::int64_t col = rect.col; col < rect.col + rect.cols; ++col, ++at)
                            cells[at] = true_class(cells[at], floor_div(row, rows),
                                                   floor_div(col, cols), number);
                }};
    }

    ClassIndex true_class(ClassIndex mapped_as, std::int64_t row, std::int64_t col,
                          std::uint64_t draw) const
    {
        const auto& of = read_.confusion->of[mapped_as];
        if (!of)
            return mapped_as;
        const std::uint64_t of_draw = mixed_number(plan_.seed, draw, mapped_as);
        const double u = share_of_number(mixed_number(of_draw, static_cast<std::uint64_t>(row),
                                                      static_cast<std::uint64_t>(col)));
        const auto until = std::upper_bound(of->until.begin(), of->until.end() - 1, u);
        return of->truth[static_cast<std::size_t>(until - of->until.begin())];
    }

    const StageContext& context_;
    const SensitivityPlan& plan_;
    const std::vector<StructureResult>& results_;
    const FuelClassTable& classes_;
    const RingPlan& rings_;
    ClassTrials read_;
};

} // namespace

void for_each_trial(const StageContext& context, const std::vector<StructureResult>& results,
                    const TrialVisit& visit)
{
    Trials{context, results}.run(visit);
}

std::int64_t passes_of_trials(const Config& config, const FuelClassTable& classes)
{
    const SensitivityPlan& plan = config.sensitivity.value();
    const ClassTrials read = read_class_trials(plan, config.inputs.fuel.holds_shares(), classes);
    std::set<ClassIndex> changed; // each is measured alone
    for (const ShareChange& change : share_changes(plan, config.rings, classes, read))
        for (const auto& [c, difference] : change)
            changed.insert(c);
    const auto anew = std::count_if(plan.trials.begin(), plan.trials.end(), [&](const auto& trial) {
        return !joins(config.rings, trial.rings);
    });
    return std::ssize(changed) + anew + (read.confusion ? plan.draws : 0);
}

} // namespace fuelring
