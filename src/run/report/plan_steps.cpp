// SPDX-License-Identifier: Apache-2.0

// Patches are polygons of whole cells: a row of cells lies in one where a line through their
// middles does. Each home then looks up the cells of patches in its reach.
#include "run/report/plan_steps.hpp"

#include "io/run_folder/fuel_used_in.hpp"
#include "io/run_folder/run_tables_in.hpp"
#include "run/schedule/parallel.hpp"
#include "run/schedule/tiles.hpp"

#include <fuelring/fuel_classes.hpp>
#include <fuelring/surface.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

constexpr double least_told = 0.00005; ///< points: what rounds to nothing on the page

/// A stretch of cells of a patch in one row, with their conifers.
struct PatchRun {
    std::int64_t row;
    std::int64_t col;
    std::size_t patch;
    std::vector<float> share;
};

/// Where a line through the middles of a row of cells crosses loops, from left to right.
std::vector<double> crossed(const std::vector<Loop>& cells, double y)
{
    std::vector<double> at;
    for (const Loop& loop : cells)
        for (std::size_t k = 0; k < loop.size(); ++k) {
            const Point a = loop[k];
            const Point b = loop[(k + 1) % loop.size()];
            if ((a.y > y) != (b.y > y))
                at.push_back(a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x));
        }
    std::sort(at.begin(), at.end());
    return at;
}

void add_patch(const RunPicture& picture, const Grid& grid, std::size_t patch, FuelUsed& fuel,
               std::vector<PatchRun>& runs)
{
    std::vector<Loop> cells = picture.treatment->units.shapes[patch];
    double top = HUGE_VAL;
    double bottom = -HUGE_VAL;
    for (Loop& loop : cells)
        for (Point& p : loop) {
            p = grid.cell_of(picture.origin + p);
            top = std::min(top, p.y);
            bottom = std::max(bottom, p.y);
        }
    for (auto row = std::llround(top); row < std::llround(bottom); ++row) {
        const std::vector<double> at = crossed(cells, static_cast<double>(row) + 0.5);
        for (std::size_t k = 0; k + 1 < at.size(); k += 2) {
            const std::int64_t col = std::llround(at[k]);
            const FuelPatch patch_fuel = fuel.read({col, row, std::llround(at[k + 1]) - col, 1});
            PatchRun run{row, col, patch, {}};
            for (const std::uint16_t share : patch_fuel.share)
                run.share.push_back(share == FuelPatch::unknown_share
                                        ? 0.0F
                                        : static_cast<float>(share) /
                                              static_cast<float>(whole_share));
            runs.push_back(std::move(run));
        }
    }
}

/// By row and column.
std::vector<PatchRun> patch_runs(const RunFolder& run, const RunPicture& picture)
{
    FuelUsed fuel{run.file(fuel_used_file)};
    std::vector<PatchRun> runs;
    for (std::size_t u = 0; u < picture.treatment->units.shapes.size(); ++u)
        add_patch(picture, run.analysis.grid, u, fuel, runs);
    std::stable_sort(runs.begin(), runs.end(),
                     [](const PatchRun& a, const PatchRun& b) { return a.row < b.row; });
    return runs;
}

/// 100 w_k / (W mapped_k) by ring, from what the run's table says of a home; 0 where a ring has no
/// conifers, which then cannot go.
std::vector<double> points_of_rings(const RunPicture& picture, std::size_t home)
{
    const RingPlan& rings = picture.rings;
    std::vector<double> points(rings.outer_m.size(), 0);
    double weights = 0;
    double inner = 0;
    for (std::size_t k = 0; k < points.size(); ++k) {
        const std::string label = fmt::format("{}_{}m", inner, rings.outer_m[k]);
        const PictureTable& table = picture.structures.table;
        const double share = table.number("conifer_frac_" + label, home);
        const double conifer_m2 = table.number("conifer_m2_" + label, home);
        inner = rings.outer_m[k];
        if (std::isnan(share))
            continue;
        weights += rings.weight[k];
        points[k] = share > 0 && conifer_m2 > 0 ? 100 * rings.weight[k] * share / conifer_m2 : 0;
    }
    for (double& p : points)
        p = weights > 0 ? p / weights : 0;
    return points;
}

/// Points that one home has from the cells of each patch, by patch, those above 0.
class HomeGains {
public:
    HomeGains(const RunPicture& picture, const RunFolder& run, const std::vector<PatchRun>& runs)
        : picture_(picture), run_(run), runs_(runs)
    {}

    std::vector<std::pair<std::size_t, double>> of(const Structure& home, std::size_t row)
    {
        const Grid& grid = run_.analysis.grid;
        const CellRect reach = reach_of(home, grid, picture_.rings.widest_m());
        const auto less = [](const PatchRun& a, std::int64_t r) { return a.row < r; };
        auto it = std::lower_bound(runs_.begin(), runs_.end(), reach.row, less);
        const auto end = std::lower_bound(it, runs_.end(), reach.row + reach.rows, less);
        const auto meets = [&reach](const PatchRun& r) {
            return r.col < reach.col + reach.cols &&
                   r.col + static_cast<std::int64_t>(r.share.size()) > reach.col;
        };
        if (reach.empty() || std::none_of(it, end, meets))
            return {};
        tile_.begin(reach);
        tile_.add(ring_outlines(home.footprint, picture_.rings, home.stretch), home.frame,
                  grid.at_scale(home.map_scale), points_of_rings(picture_, row));
        tile_.finish();
        std::vector<std::pair<std::size_t, double>> gains;
        for (; it != end; ++it)
            if (const double points = meets(*it) ? points_of(*it, reach) : 0; points > 0)
                gains.emplace_back(it->patch, points);
        std::stable_sort(gains.begin(), gains.end(),
                         [](const auto& a, const auto& b) { return a.first < b.first; });
        return gains;
    }

private:
    double points_of(const PatchRun& run, const CellRect& reach) const
    {
        double sum = 0;
        for (std::size_t k = 0; k < run.share.size(); ++k) {
            const std::int64_t col = run.col + static_cast<std::int64_t>(k);
            if (col >= reach.col && col < reach.col + reach.cols)
                sum += tile_.points(run.row, col) * static_cast<double>(run.share[k]);
        }
        return sum;
    }

    const RunPicture& picture_;
    const RunFolder& run_;
    const std::vector<PatchRun>& runs_;
    SurfaceTile tile_;
};

/// By patch: what it removes over what its cells hold, which is less than 1 where conifers stay.
std::vector<double>
removed_shares(const PictureTreatment& plan,
               const std::vector<std::vector<std::pair<std::size_t, double>>>& gains)
{
    std::vector<double> held(plan.units.table.rows, 0);
    for (const auto& of_home : gains)
        for (const auto& [patch, points] : of_home)
            held[patch] += points;
    for (std::size_t u = 0; u < held.size(); ++u)
        held[u] = held[u] > 0 ? plan.units.table.number("exposure_removed", u) / held[u] : 0;
    return held;
}

} // namespace

PlanSteps plan_steps(const RunFolder& run, const RunPicture& picture, int jobs,
                     std::size_t most_groups)
{
    const std::vector<PatchRun> runs = patch_runs(run, picture);
    const PastTables tables = read_run_tables(run.file(tables_file), run.analysis);
    std::vector<std::vector<std::pair<std::size_t, double>>> gains(tables.structures.size());
    for_each_in_parallel<HomeGains>(
        jobs, gains.size(),
        [&] {
            return HomeGains{picture, run, runs};
        },
        [&](HomeGains& worker, std::size_t i) { gains[i] = worker.of(tables.structures[i], i); },
        [](const HomeGains&) {});
    const std::vector<double> removed = removed_shares(*picture.treatment, gains);
    const std::size_t patches = removed.size();
    const std::size_t groups = std::min(patches, most_groups);
    PlanSteps steps;
    for (std::size_t g = 0; g < groups; ++g)
        steps.ends.push_back((g + 1) * patches / groups);
    for (std::size_t i = 0; i < gains.size(); ++i) {
        std::vector<double> of_group(groups, 0);
        for (const auto& [patch, points] : gains[i])
            of_group[static_cast<std::size_t>(
                std::upper_bound(steps.ends.begin(), steps.ends.end(), patch) -
                steps.ends.begin())] += points * removed[patch];
        for (std::size_t g = 0; g < groups; ++g)
            if (of_group[g] > least_told)
                steps.gains.push_back({i, g, of_group[g]});
    }
    return steps;
}

} // namespace fuelring
