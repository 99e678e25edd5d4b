// SPDX-License-Identifier: Apache-2.0

// Effects of the parts on structures. Gains are the transpose of the measurement: what each cell
// counts for one structure, times the conifers of the part in it. Ground is integrated over what
// each structure adds to the union of those before it (as stage_union.cpp does), cut along the
// parts. Every structure has a place of its own for its results; sums are made later, in order.
#include "run/appraise/project_effects.hpp"

#include "coverage/gather.hpp"
#include "exposure/areas.hpp"
#include "run/schedule/parallel.hpp"
#include "run/schedule/tiles.hpp"
#include "run/stages/stage_phases.hpp"
#include "run/stages/tile_fuel.hpp"
#include "run/stages/union_members.hpp"

#include <fuelring/surface.hpp>

#include <algorithm>
#include <deque>
#include <limits>

namespace fuelring {

namespace {

/// Adds points to a part's gain; parts rise.
void add_gain(std::uint32_t part, double points, std::vector<PartGain>& gains)
{
    const auto at = std::lower_bound(
        gains.begin(), gains.end(), part,
        [](const PartGain& gain, std::uint32_t number) { return gain.part < number; });
    if (at != gains.end() && at->part == part)
        at->points += points;
    else
        gains.insert(at, {part, points});
}

/// Gains of one structure. `tile` is scratch.
std::vector<PartGain> gains_of(const StageContext& context, const Structure& s,
                               const MeasuredStructure& measure, const ProjectCells& cells,
                               SurfaceTile& tile)
{
    const RingPlan& plan = context.config.rings;
    const Grid& grid = context.raster.grid();
    std::vector<PartGain> gains;
    if (!exposure(measure, plan))
        return gains;
    const CellRect reach = reach_of(s, grid, plan.widest_m());
    CellRect rect;
    cells.for_each(
        reach, [&](const PartCells& part) { rect = hull(rect, intersection(part.cells, reach)); });
    if (rect.empty())
        return gains;
    tile.begin(rect);
    tile.add(ring_outlines(s.footprint, plan, s.stretch), s.frame, grid.at_scale(s.map_scale),
             points_per_m2(measure, plan));
    tile.finish();
    const CellRect touched = tile.touched();
    cells.for_each(rect, [&](const PartCells& part) {
        double points = 0;
        for (const PartCells::Cell& cell : part.list) {
            const std::int64_t row = part.block.row + cell.row;
            const std::int64_t col = part.block.col + cell.col;
            if (row >= touched.row && row < touched.row + touched.rows && col >= touched.col &&
                col < touched.col + touched.cols)
                points += tile.points(row, col) * cell.conifer;
        }
        if (points > 0)
            add_gain(part.part, points, gains);
    });
    return gains;
}

/// Ground of one part within a distance of one structure that those before it do not reach.
struct AddedGround {
    std::uint32_t part = 0;
    std::uint32_t distance = 0; ///< 0: under the roof
    RingGround ground;
    std::vector<double> owner_m2, neighbourhood_m2;
};

/// Maps that regions are cut along.
struct GroundMaps {
    Ownership parts;
    const Ownership* owners = nullptr;
    std::optional<Ownership> neighbourhoods;
};

/// What one worker keeps from tile to tile.
struct LandWorker {
    LandWorker(const StageContext& context, const StructureIndex& members)
        : fuel(context), regions(regions_within(members, context.config.rings))
    {}
    TileFuel fuel;
    std::deque<IncrementalUnion> regions;
    double seconds = 0;
};

class GroundTask {
public:
    GroundTask(const StageContext& context, const GroundMaps& maps, const Structure& s,
               const FuelWindow& fuel)
        : maps_(maps), s_(s), fuel_(fuel), grid_(context.raster.grid().at_scale(s.map_scale)),
          on_grid_(s.frame, s.map_scale, context.raster.grid())
    {}

    /// Of a region of distance k.
    void cut(const Outline& region, std::uint32_t k, const std::vector<PartShape>& parts,
             std::vector<AddedGround>& added) const
    {
        const Box box = on_grid_.to_grid(bounds(region));
        const bool near = std::any_of(parts.begin(), parts.end(), [&](const PartShape& part) {
            return !part.ground.loops.empty() && part.box.meets(box);
        });
        if (!near)
            return;
        const RegionByKind cut = region_by_kind(region, on_grid_, maps_.parts);
        for (std::uint32_t p = 0; p < parts.size(); ++p) {
            if (cut.open ? parts[p].ground.loops.empty() || !parts[p].box.meets(box)
                         : cut.of_kind[p].pieces.empty())
                continue;
            added.push_back(cut.open ? unknown(p, k) : measured(cut.of_kind[p], p, k));
        }
    }

private:
    AddedGround measured(const Outline& part, std::uint32_t p, std::uint32_t k) const
    {
        const coverage::Gatherer gatherer{s_.frame, grid_, fuel_, bounds(part)};
        const coverage::Integral sum = gatherer.integrate(part);
        const double cell_m2 = grid_.cell_area_m2();
        AddedGround added{
            p,
            k,
            {(sum.mapped + sum.unmapped) * cell_m2, sum.unmapped * cell_m2, sum.conifer * cell_m2},
            {},
            {}};
        if (maps_.owners)
            added.owner_m2 = by_kind(part, gatherer, *maps_.owners);
        if (maps_.neighbourhoods)
            added.neighbourhood_m2 = by_kind(part, gatherer, *maps_.neighbourhoods);
        return added;
    }
    std::vector<double> by_kind(const Outline& part, const coverage::Gatherer& gatherer,
                                const Ownership& map) const
    {
        ConiferByKind conifer = conifer_by_kind(part, gatherer, grid_, on_grid_, map);
        if (conifer.open)
            conifer.of_kind.assign(map.kind_count(), std::numeric_limits<double>::quiet_NaN());
        return std::move(conifer.of_kind);
    }
    /// Of ground that is not known to be split right nothing is known.
    AddedGround unknown(std::uint32_t p, std::uint32_t k) const
    {
        constexpr double nan = std::numeric_limits<double>::quiet_NaN();
        const auto of = [nan](const Ownership* map) {
            return std::vector<double>(map ? map->kind_count() : 0, nan);
        };
        return {p,
                k,
                {nan, nan, nan},
                of(maps_.owners),
                of(maps_.neighbourhoods ? &*maps_.neighbourhoods : nullptr)};
    }

    const GroundMaps& maps_;
    const Structure& s_;
    const FuelWindow& fuel_;
    Grid grid_;
    FrameOnGrid on_grid_;
};

GroundMaps maps_of(const Community& community, const std::vector<PartShape>& parts,
                   const Ownership* owners)
{
    std::vector<Footprint> grounds;
    for (const PartShape& part : parts)
        grounds.push_back(part.ground);
    GroundMaps maps{map_of_places(grounds), owners, std::nullopt};
    if (!community.neighbourhoods.empty())
        maps.neighbourhoods = map_of_places(community.neighbourhood_areas);
    return maps;
}

/// The structures of a tile whose reach meets a part.
std::vector<std::uint32_t> near_parts(const StageContext& context,
                                      std::span<const std::uint32_t> structures,
                                      const std::vector<PartShape>& parts)
{
    std::vector<std::uint32_t> near;
    for (const std::uint32_t i : structures) {
        const CellRect reach = reach_of(context.community.structures[i], context.raster.grid(),
                                        context.config.rings.widest_m());
        if (std::any_of(parts.begin(), parts.end(), [&](const PartShape& part) {
                return !intersection(part.cells, reach).empty();
            }))
            near.push_back(i);
    }
    return near;
}

/// Sums within distances become those of rings, under no roof.
class GroundSum {
public:
    GroundSum(std::size_t distances, std::size_t owners, std::size_t neighbourhoods)
        : within_(distances + 1), owners_(owners), neighbourhoods_(neighbourhoods)
    {}

    void add(const AddedGround& added)
    {
        RingGround& sum = within_[added.distance];
        sum.ground_m2 += added.ground.ground_m2;
        sum.unmapped_m2 += added.ground.unmapped_m2;
        sum.conifer_m2 += added.ground.conifer_m2;
        const bool widest = added.distance + 1 == within_.size();
        if (added.distance != 0 && !widest)
            return;
        const double sign = widest ? 1 : -1;
        for (std::size_t k = 0; k < added.owner_m2.size(); ++k)
            owners_[k] += sign * added.owner_m2[k];
        for (std::size_t k = 0; k < added.neighbourhood_m2.size(); ++k)
            neighbourhoods_[k] += sign * added.neighbourhood_m2[k];
    }

    PartGround ground() const
    {
        PartGround ground;
        for (std::size_t k = 1; k < within_.size(); ++k)
            ground.rings.push_back({cleaned(within_[k].ground_m2 - within_[k - 1].ground_m2),
                                    cleaned(within_[k].unmapped_m2 - within_[k - 1].unmapped_m2),
                                    cleaned(within_[k].conifer_m2 - within_[k - 1].conifer_m2)});
        for (const double m2 : owners_)
            ground.owner_m2.push_back(cleaned(m2));
        for (const double m2 : neighbourhoods_)
            ground.neighbourhood_m2.push_back(cleaned(m2));
        return ground;
    }

private:
    /// Differences of sums: what is as small as their rounding is nothing.
    static double cleaned(double m2)
    {
        constexpr double rounding_of_sums_m2 = 1e-6;
        return m2 < rounding_of_sums_m2 ? 0 : m2; // NaN stays
    }

    std::vector<RingGround> within_; ///< [0] under roofs
    std::vector<double> owners_, neighbourhoods_;
};

} // namespace

GainsByStructure clearing_gains(const StageContext& context,
                                const std::vector<MeasuredStructure>& measures,
                                const ProjectCells& cells)
{
    const std::vector<Structure>& structures = context.community.structures;
    constexpr std::size_t batch = 64;
    GainsByStructure gains(structures.size());
    context.progress.begin({"clearing projects around", "structures", std::ssize(structures),
                            work_of::spread * std::ssize(structures)});
    for_each_in_parallel<SurfaceTile>(
        context.jobs, structures.size() / batch + 1, [] { return SurfaceTile{}; },
        [&](SurfaceTile& tile, std::size_t t) {
            context.check_cancelled();
            const std::size_t end = std::min((t + 1) * batch, structures.size());
            for (std::size_t i = t * batch; i < end; ++i) {
                gains[i] = gains_of(context, structures[i], measures[i], cells, tile);
                context.progress.advance();
            }
        },
        [](const SurfaceTile&) {});
    return gains;
}

std::vector<PartGround> ground_in_reach(const StageContext& context,
                                        const std::vector<PartShape>& parts,
                                        const Ownership* owners)
{
    const GroundMaps maps = maps_of(context.community, parts, owners);
    const StructureIndex members = union_members(context.community, context.raster.grid());
    const TileIndex index = TileIndex::of_owners(context.community, context.tile_cells);
    std::vector<std::vector<AddedGround>> added(context.community.structures.size());
    context.progress.begin(of_structures("dividing the land around", index, work_of::unite));
    for_each_in_parallel<LandWorker>(
        context.jobs, index.tiles().size(),
        [&] {
            return LandWorker{context, members};
        },
        [&](LandWorker& worker, std::size_t t) {
            context.check_cancelled();
            const auto all = index.structures(index.tiles()[t]);
            const std::vector<std::uint32_t> near = near_parts(context, all, parts);
            worker.fuel.for_each(
                near, worker.seconds, worker.seconds, [&](std::size_t n, const FuelWindow& fuel) {
                    const std::uint32_t i = near[n];
                    const GroundTask task{context, maps, context.community.structures[i], fuel};
                    for (std::uint32_t k = 0; k < worker.regions.size(); ++k) {
                        const AddedRegion region = worker.regions[k].among_all(i);
                        if (region.kind != AddedRegion::Kind::nothing)
                            task.cut(region.outline, k, parts, added[i]);
                    }
                });
            context.progress.advance(static_cast<std::int64_t>(all.size()));
        },
        [](const LandWorker&) {});
    std::vector<GroundSum> sums(
        parts.size(), {context.config.rings.outer_m.size(), owners ? owners->kind_count() : 0,
                       maps.neighbourhoods ? maps.neighbourhoods->kind_count() : 0});
    for (const std::vector<AddedGround>& of_structure : added)
        for (const AddedGround& ground : of_structure)
            sums[ground.part].add(ground);
    std::vector<PartGround> grounds;
    for (const GroundSum& sum : sums)
        grounds.push_back(sum.ground());
    return grounds;
}

} // namespace fuelring
