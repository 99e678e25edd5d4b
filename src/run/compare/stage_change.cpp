// SPDX-License-Identifier: Apache-2.0

// Comparing, in parallel: a structure reads both runs' fuel around it, lays them over each other
// and integrates its own distances and the ground that it adds to those before it, as
// stage_union.cpp does for one date. Each result has a place of its own and depends on its
// structure alone; sums are made later, in the order of structures.

#include "run/compare/stage_change.hpp"

#include "geometry/dissolve/incremental_union.hpp"
#include "run/schedule/parallel.hpp"
#include "run/schedule/tiles.hpp"

#include <deque>
#include <limits>

namespace fuelring {

namespace {

constexpr int owner_tile_cells = 512;

/// What one worker keeps from structure to structure.
struct ChangeWorker {
    ChangeWorker(const StructureIndex& members, const ChangeContext& context)
        : fuel(context.before, context.analysis, context.after_fuel)
    {
        regions.emplace_back(members, 0.0, false);
        for (std::size_t k = 0; k < context.rings.plan.outer_m.size(); ++k)
            regions.emplace_back(members, context.rings.plan.outer_m[k], context.rings.stretch[k]);
    }
    ComparedFuel fuel;
    std::deque<IncrementalUnion> regions; ///< [0] of roofs, [k] within the k-th distance
};

class MemberTask {
public:
    MemberTask(const ChangeContext& context, ChangeWorker& worker, std::size_t i)
        : context_(context), worker_(worker), i_(i), s_(context.members.structures[i]),
          rings_(context.rings), grid_(context.grid().at_scale(s_.map_scale)),
          overlay_(overlay(context, worker, s_))
    {}

    OutlineChange run()
    {
        OutlineChange change;
        for (std::size_t k = 0; k < worker_.regions.size(); ++k) {
            const Outline around = outline(k);
            const ChangeArea own = overlay_.integrate(around, grid_);
            change.within.push_back(own);
            IncrementalUnion& regions = worker_.regions[k];
            std::optional<AddedRegion> apart = regions.among_group(i_);
            const AddedRegion region = regions.among_all(i_);
            change.to_community.push_back(added(region, own));
            if (context_.owners) {
                change.open |= append_by_kind(region, change.to_community_by_kind);
                change.open |=
                    append_by_kind(apart ? *apart : region, change.to_neighbourhood_by_kind);
            }
            if (context_.treated.groups > 0)
                change.open |= append_treated(
                    split(), k, around,
                    region.kind == AddedRegion::Kind::whole ? nullptr : &region.outline,
                    change.treated);
            change.to_neighbourhood.push_back(apart ? added(*apart, own)
                                                    : change.to_community.back());
        }
        return change;
    }

private:
    static FuelOverlay overlay(const ChangeContext& context, ChangeWorker& worker,
                               const Structure& s)
    {
        return worker.fuel.overlay(reach_of(s, context.grid(), context.rings.plan.widest_m()),
                                   s.frame, context.with_classes);
    }

    Outline outline(std::size_t k) const
    {
        if (k == 0)
            return outline_of(s_.footprint);
        return outline_within(s_.footprint, rings_.plan.outer_m[k - 1],
                              rings_.stretch[k - 1] ? s_.stretch : RingStretch{});
    }

    TreatedSplit split() const
    {
        return {context_.treated,
                context_.owners,
                {s_.frame, s_.map_scale, context_.grid()},
                overlay_,
                grid_};
    }

    ChangeArea added(const AddedRegion& region, const ChangeArea& own) const
    {
        switch (region.kind) {
        case AddedRegion::Kind::nothing:
            return {};
        case AddedRegion::Kind::whole:
            return own;
        case AddedRegion::Kind::part:
            break;
        }
        return overlay_.integrate(region.outline, grid_);
    }

    /// Of ground that is not known to be split right nothing is known: then true.
    bool append_by_kind(const AddedRegion& region, std::vector<ChangeArea>& areas) const
    {
        const std::size_t kinds = context_.owners->kind_count();
        if (region.kind == AddedRegion::Kind::nothing) {
            areas.insert(areas.end(), kinds, ChangeArea{});
            return false;
        }
        constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
        const RegionByKind parts = region_by_kind(
            region.outline, {s_.frame, s_.map_scale, context_.grid()}, *context_.owners);
        for (const Outline& part : parts.of_kind) {
            ChangeArea area = overlay_.integrate(part, grid_);
            if (parts.open)
                // NaN, not 0: sums over it are then unknown, too.
                area.removed_m2 = area.regrown_m2 = area.unchanged_m2 = area.compared_m2 =
                    area.neither_m2 = unknown;
            areas.push_back(area);
        }
        return parts.open;
    }

    const ChangeContext& context_;
    ChangeWorker& worker_;
    std::size_t i_;
    const Structure& s_;
    const CommonRings& rings_;
    Grid grid_;
    FuelOverlay overlay_;
};

/// One block of change.tif: `rect` of it lies on the raster.
struct ChangeBlock {
    static constexpr std::size_t cells = std::size_t{out_block_cells} * out_block_cells;
    std::vector<std::uint16_t> kind = std::vector<std::uint16_t>(cells, CellChanges::no_data);
    std::vector<std::uint16_t> net = std::vector<std::uint16_t>(cells, CellChanges::no_data);

    ChangeBlock(const CellRect& rect, const CellChanges& changes, CellCounts& counts)
    {
        std::size_t from = 0;
        for (std::int64_t row = 0; row < rect.rows; ++row)
            for (std::int64_t col = 0; col < rect.cols; ++col, ++from) {
                const auto to = static_cast<std::size_t>(row * out_block_cells + col);
                kind[to] = changes.kind[from];
                net[to] = changes.net[from];
                if (kind[to] != CellChanges::no_data)
                    ++counts[kind[to]];
            }
    }
};

constexpr std::size_t kinds_of_cells = static_cast<std::size_t>(CellChange::one_run_only) + 1;

/// As phases go: about half as long as comparing.
std::int64_t work_of_cells(const Community& members)
{
    return std::ssize(members.structures) / 2;
}

} // namespace

StructureIndex index_of_members(const ChangeContext& context)
{
    std::vector<IndexedStructure> members;
    for (std::size_t i = 0; i < context.members.structures.size(); ++i) {
        const Structure& s = context.members.structures[i];
        members.push_back({&s.footprint,
                           {{static_cast<double>(s.frame.col), -static_cast<double>(s.frame.row)},
                            {s.map_scale.x, s.map_scale.y}},
                           &s.stretch,
                           static_cast<std::uint32_t>(context.group[i])});
    }
    return {std::move(members), {context.grid().cell_width_m(), context.grid().cell_height_m()}};
}

std::int64_t work_of_change(const Community& members)
{
    return std::ssize(members.structures) + work_of_cells(members);
}

std::vector<OutlineChange> measure_changes(const ChangeContext& context)
{
    const StructureIndex members = index_of_members(context);
    const TileIndex index = TileIndex::of_owners(context.members, owner_tile_cells);
    std::vector<OutlineChange> results(context.members.structures.size());
    context.progress.begin({"comparing", "structures", std::ssize(results), std::ssize(results)});
    for_each_in_parallel<ChangeWorker>(
        context.jobs, index.tiles().size(),
        [&] {
            return ChangeWorker{members, context};
        },
        [&](ChangeWorker& worker, std::size_t t) {
            for (const std::uint32_t i : index.structures(index.tiles()[t])) {
                context.check_cancelled();
                results[i] = MemberTask{context, worker, i}.run();
                context.progress.advance();
            }
        },
        [](const ChangeWorker&) {});
    return results;
}

CellCounts write_cell_changes(const ChangeContext& context, const Community& everywhere,
                              double widest_m, RasterOut& raster)
{
    const TileIndex index =
        TileIndex::of_reach(everywhere, context.grid(), out_block_cells, widest_m);
    std::vector<CellCounts> counts(index.tiles().size(), CellCounts(kinds_of_cells));
    context.progress.begin({"writing the raster of change,", "blocks", std::ssize(counts),
                            work_of_cells(context.members)});
    for_each_in_parallel<ComparedFuel>(
        context.jobs, index.tiles().size(),
        [&] {
            return ComparedFuel{context.before, context.analysis, context.after_fuel};
        },
        [&](ComparedFuel& fuel, std::size_t t) {
            context.check_cancelled();
            const TileIndex::Tile& tile = index.tiles()[t];
            const CellRect rect =
                cells_of_tile(tile.row, tile.col, out_block_cells, context.grid());
            const ChangeBlock block{rect, fuel.changes(rect), counts[t]};
            raster.put(tile.col, tile.row, block.kind, block.net);
            context.progress.advance();
        },
        [](const ComparedFuel&) {});
    CellCounts sum(kinds_of_cells);
    for (const CellCounts& c : counts)
        for (std::size_t k = 0; k < sum.size(); ++k)
            sum[k] += c[k];
    return sum;
}

} // namespace fuelring
