// SPDX-License-Identifier: Apache-2.0

// Uniting: how much conifer the structures of a neighbourhood have within a distance of any of
// them, nothing counted twice. Each structure is asked what ground it adds to those before it
// (geometry/dissolve/incremental_union.hpp): where that is all its own or nothing, the measurement
// has the figure, else the fuel is integrated over the region. Regions are closed and stand in the
// frame of their structure, so neither tiles nor threads change a bit, as in measuring.

#include "coverage/gather.hpp"
#include "geometry/dissolve/incremental_union.hpp"
#include "run/cache/result_cache.hpp"
#include "run/schedule/parallel.hpp"
#include "run/schedule/shard_plan.hpp"
#include "run/schedule/tiles.hpp"
#include "run/stages/stage_phases.hpp"
#include "run/stages/stages.hpp"
#include "run/stages/tile_fuel.hpp"
#include "run/stages/union_members.hpp"

#include <algorithm>
#include <deque>
#include <span>

namespace fuelring {

namespace {

/// Conifer within each distance of one structure alone, its roof included; [0] is the roof.
std::vector<double> own_conifer_m2(const MeasuredStructure& m)
{
    std::vector<double> within{m.roof.conifer_m2};
    for (const RingArea& ring : m.rings)
        within.push_back(within.back() + ring.conifer_m2);
    return within;
}

/// Where the figures of a region go: one number, and one for each kind of owner, or nowhere.
struct PlaceOfSums {
    double* m2 = nullptr;
    std::span<double> by_kind{};

    void put(double all_m2, std::span<const double> kinds_m2) const
    {
        if (!m2)
            return;
        *m2 = all_m2;
        std::copy(kinds_m2.begin(), kinds_m2.end(), by_kind.begin());
    }
};

/// A region over which the fuel is to be integrated, and where the figures go.
struct Pending {
    std::uint32_t structure = 0;
    Outline outline;
    Box box;                  ///< around the outline
    PlaceOfSums to_community; ///< nowhere where they go to the neighbourhood only
    PlaceOfSums to_neighbourhood;
};

/// Beyond the cells of a region, of which a gatherer asks for one.
constexpr std::int64_t margin_cells = 2;

/// What one worker keeps from tile to tile.
struct UnionWorker {
    UnionWorker(const StructureIndex& members, const FuelRaster& raster, const RingPlan& plan)
        : regions(regions_within(members, plan)), reader(raster)
    {}
    std::deque<IncrementalUnion> regions; ///< [0] of roofs, [k] within outer_m[k - 1]
    FuelRaster::Reader reader;
    std::vector<ClassIndex> cells;
    std::vector<Pending> pending;
    UnionCounts counts;
    WorkTimes times;
};

class UnionTask {
public:
    UnionTask(const StageContext& context, std::span<const FuelSum> contribution,
              const std::vector<MeasuredStructure>& measures, UnionWorker& worker,
              AddedConifers& results)
        : context_(context), contribution_(contribution), measures_(measures), worker_(worker),
          results_(results)
    {}

    void run(std::span<const std::uint32_t> structures)
    {
        const Stopwatch watch{worker_.times[WorkKind::unite]};
        worker_.pending.clear();
        for (const std::uint32_t i : structures)
            find_regions(i);
        if (!worker_.pending.empty())
            integrate();
    }

private:
    void find_regions(std::uint32_t i)
    {
        const std::vector<double> own_m2 = own_conifer_m2(measures_[i]);
        const auto& owners = context_.community.owners;
        const std::size_t kinds = owners ? owners->kind_count() : 0;
        const std::vector<double> own_by_kind =
            owners ? within_by_kind(*measures_[i].owners, *owners) : std::vector<double>{};
        for (std::size_t k = 0; k < own_m2.size(); ++k) {
            if (own_m2[k] == 0) // then no part of it holds any, either
                continue;
            IncrementalUnion& regions = worker_.regions[k];
            const auto place = [k, kinds](std::span<double> all, std::span<double> by_kind) {
                return all.empty() ? PlaceOfSums{}
                                   : PlaceOfSums{&all[k], by_kind.subspan(k * kinds, kinds)};
            };
            const Own own{own_m2[k], std::span{own_by_kind}.subspan(k * kinds, kinds)};
            const AddedConifers::Figures<double> to = results_.of(i);
            const PlaceOfSums community = place(to.to_community, to.to_community_by_kind);
            const PlaceOfSums neighbourhood =
                place(to.to_neighbourhood, to.to_neighbourhood_by_kind);
            // Where the group asks for the same region as all, it is integrated once and put in
            // both.
            std::optional<AddedRegion> apart = regions.among_group(i);
            take(i, regions.among_all(i), own, community, apart ? PlaceOfSums{} : neighbourhood);
            if (apart)
                take(i, std::move(*apart), own, {}, neighbourhood);
        }
    }

    /// Conifer within a distance of one structure alone.
    struct Own {
        double m2;
        std::span<const double> by_kind;
    };

    void take(std::uint32_t i, AddedRegion region, const Own& own, const PlaceOfSums& to_community,
              const PlaceOfSums& to_neighbourhood)
    {
        worker_.counts.exact += region.method == OutlineMethod::exact ? 1 : 0;
        worker_.counts.nudged += region.method == OutlineMethod::nudged ? 1 : 0;
        worker_.counts.capsules += region.method == OutlineMethod::capsules ? 1 : 0;
        if (region.kind == AddedRegion::Kind::part) {
            const Box box = bounds(region.outline);
            worker_.pending.push_back(
                {i, std::move(region.outline), box, to_community, to_neighbourhood});
            return;
        }
        if (region.kind == AddedRegion::Kind::whole) // the places hold 0 for `nothing`
            for (const PlaceOfSums& to : {to_community, to_neighbourhood})
                to.put(own.m2, own.by_kind);
    }

    /// The cells of its region, and that of its frame, from which row sums are taken.
    CellRect reach(const Pending& p) const
    {
        const Structure& s = context_.community.structures[p.structure];
        const CellRect cells =
            context_.raster.grid().at_scale(s.map_scale).cells_of(s.frame, p.box);
        return widened(hull(cells, {s.frame.col, s.frame.row, 1, 1}), margin_cells);
    }

    void integrate()
    {
        CellRect window;
        for (const Pending& p : worker_.pending)
            window = hull(window, reach(p));
        {
            const Stopwatch watch{worker_.times[WorkKind::unite_read]};
            worker_.cells.resize(static_cast<std::size_t>(window.rows * window.cols));
            worker_.reader.read(window, worker_.cells);
        }
        const auto frame_of = [&](const Pending& p) -> const CellFrame& {
            return context_.community.structures[p.structure].frame;
        };
        for_each_group(worker_.pending, window, frame_of,
                       [&](std::span<const Pending> group) { integrate_group(window, group); });
    }

    void integrate_group(const CellRect& window, std::span<const Pending> group)
    {
        CellRect rect;
        for (const Pending& p : group)
            rect = hull(rect, reach(p));
        const Stopwatch sums{worker_.times[WorkKind::unite_read]};
        const FuelWindow fuel = sums_of(rect, window, worker_.cells, contribution_);
        sums.stop();
        for (const Pending& p : group) {
            const Structure& s = context_.community.structures[p.structure];
            const Grid grid = context_.raster.grid().at_scale(s.map_scale);
            const coverage::Gatherer gatherer{s.frame, grid, fuel, p.box};
            const ConiferByKind conifer = conifer_of(p.outline, s, gatherer, grid);
            for (const PlaceOfSums& to : {p.to_community, p.to_neighbourhood})
                to.put(conifer.m2, conifer.of_kind);
        }
    }

    /// By kind of owner where there are parcels.
    ConiferByKind conifer_of(const Outline& region, const Structure& s,
                             const coverage::Gatherer& gatherer, const Grid& grid)
    {
        const auto& owners = context_.community.owners;
        if (!owners)
            return {gatherer.integrate(region).conifer * grid.cell_area_m2(), {}};
        ConiferByKind conifer = conifer_by_kind(
            region, gatherer, grid, {s.frame, s.map_scale, context_.raster.grid()}, *owners);
        worker_.counts.owners_nudged += conifer.nudged ? 1 : 0;
        worker_.counts.owners_open += conifer.open ? 1 : 0;
        return conifer;
    }

    const StageContext& context_;
    std::span<const FuelSum> contribution_;
    const std::vector<MeasuredStructure>& measures_;
    UnionWorker& worker_;
    AddedConifers& results_;
};

} // namespace

AddedConifers unite_structures(const StageContext& context,
                               const std::vector<MeasuredStructure>& measures, UnionCounts& counts,
                               WorkTimes& times)
{
    const StructureIndex members = union_members(context.community, context.raster.grid());
    const TileIndex index = TileIndex::of_owners(context.community, context.tile_cells,
                                                 context.share ? &context.share->own : nullptr);
    const std::vector<FuelSum> contribution = contributions(context.raster.classes());
    AddedConifers results{context.community, context.config.rings};
    context.progress.begin(of_structures("uniting the land around", index, work_of::unite));
    for_each_in_parallel<UnionWorker>(
        context.jobs, index.tiles().size(),
        [&] {
            return UnionWorker{members, context.raster, context.config.rings};
        },
        [&](UnionWorker& worker, std::size_t t) {
            context.check_cancelled();
            const auto structures = index.structures(index.tiles()[t]);
            const auto unite = [&] {
                // The task counts into the worker; for reuse the counts of this tile alone are
                // wanted.
                UnionCounts counts_of_tile;
                std::swap(counts_of_tile, worker.counts);
                UnionTask{context, contribution, measures, worker, results}.run(structures);
                std::swap(counts_of_tile, worker.counts);
                return counts_of_tile;
            };
            worker.counts +=
                context.reuse ? context.reuse->unions(index.tiles()[t], structures, results, unite)
                              : unite();
            context.progress.advance(static_cast<std::int64_t>(structures.size()));
        },
        [&](const UnionWorker& worker) {
            times += worker.times;
            counts += worker.counts;
        });
    return results;
}

} // namespace fuelring
