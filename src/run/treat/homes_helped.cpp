// SPDX-License-Identifier: Apache-2.0

// A home is in reach of a unit where a ring that counts covers part of a treated cell. On level
// ground a ring covers a stretch of cells where it is no further from the wall than the ring
// reaches and not wholly under the roof. On a slope the ring itself is laid over the cells.
#include "run/treat/homes_helped.hpp"

#include "run/schedule/parallel.hpp"
#include "run/schedule/tiles.hpp"

#include <fuelring/surface.hpp>

#include <algorithm>
#include <atomic>
#include <cmath>

namespace fuelring {

namespace {

/// Where the rings that count lie around one structure.
class Around {
public:
    Around(const Structure& s, const Grid& ground, const RingPlan& plan, std::size_t rings,
           const CellRect& rect)
        : s_(s), ground_(ground), reach_m_(plan.outer_m[rings - 1])
    {
        if (s.stretch.is_round())
            return;
        RingPlan counting = plan;
        counting.outer_m.resize(rings);
        counting.weight.resize(rings);
        tile_.begin(rect);
        tile_.add(ring_outlines(s.footprint, counting, s.stretch), s.frame, ground,
                  std::vector<double>(rings, 1 / ground.cell_area_m2()));
        tile_.finish();
    }

    bool reach(const TreatedFuel::Run& run) const
    {
        if (!s_.stretch.is_round()) {
            for (std::int64_t col = run.col; col < run.col + run.cols; ++col)
                if (tile_.ring_reaches(run.row, col))
                    return true;
            return false;
        }
        const Box box = box_of_cells(run.row, run.col, run.cols, s_.frame, ground_);
        const double least = squared_distance(s_.footprint, box);
        // No wall crosses a box that is some way off, so it lies under the roof wholly or not at
        // all, and its middle tells.
        return least < reach_m_ * reach_m_ &&
               (least == 0 || !contains(s_.footprint, 0.5 * (box.min + box.max)));
    }

private:
    const Structure& s_;
    const Grid& ground_;
    double reach_m_;
    SurfaceTile tile_;
};

} // namespace

std::vector<std::int64_t> homes_helped(const std::vector<std::optional<double>>& before,
                                       const std::vector<std::optional<double>>& after)
{
    constexpr double last_digits = 1e-9; // of exposures, which are sums of integrals
    std::vector<std::int64_t> homes(points_of_help.size());
    for (std::size_t i = 0; i < before.size(); ++i)
        for (std::size_t k = 0; k < homes.size(); ++k)
            if (before[i] && after[i] && *before[i] - *after[i] >= points_of_help[k] - last_digits)
                ++homes[k];
    return homes;
}

std::vector<std::int64_t> homes_in_reach(const Community& community, const Grid& grid,
                                         const RingPlan& plan,
                                         const std::vector<std::size_t>& rings_that_count,
                                         const TreatedFuel& treated, std::size_t units, int jobs)
{
    // Counts of each worker are summed at the end: numbers of homes, so the order is nothing.
    struct Worker {
        std::vector<std::int64_t> homes;
        std::vector<std::uint32_t> met;
    };
    constexpr std::size_t batch = 256;
    std::vector<std::int64_t> by_unit(units);
    for_each_in_parallel<Worker>(
        jobs, community.structures.size() / batch + 1,
        [&] {
            return Worker{std::vector<std::int64_t>(units), {}};
        },
        [&](Worker& worker, std::size_t t) {
            const std::size_t end = std::min((t + 1) * batch, community.structures.size());
            for (std::size_t i = t * batch; i < end; ++i) {
                const std::size_t rings = rings_that_count[i];
                if (rings == 0)
                    continue;
                const Structure& s = community.structures[i];
                const CellRect rect = reach_of(s, grid, plan.widest_m());
                const Grid ground = grid.at_scale(s.map_scale);
                const Around around{s, ground, plan, rings, rect};
                worker.met.clear();
                treated.runs(rect, [&](const TreatedFuel::Run& run) {
                    // One stretch is enough, and runs of a unit follow each other: the last met is
                    // the likeliest.
                    if (std::find(worker.met.rbegin(), worker.met.rend(), run.unit) ==
                            worker.met.rend() &&
                        around.reach(run))
                        worker.met.push_back(run.unit);
                });
                for (const std::uint32_t unit : worker.met)
                    ++worker.homes[unit];
            }
        },
        [&](const Worker& worker) {
            for (std::size_t u = 0; u < units; ++u)
                by_unit[u] += worker.homes[u];
        });
    return by_unit;
}

} // namespace fuelring
