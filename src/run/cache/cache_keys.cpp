// SPDX-License-Identifier: Apache-2.0

// What a result depends on, as digests. A result that an earlier run kept may stand for a new one
// if and only if nothing differs that the stage could have looked at; so each key is the SHA-256
// of all of it, and whatever is not in a key must not be able to change a result.
//
// In common      program and library versions, rings, shares and groups of the class table, the
//                analysis grid and its CRS.
// Block of fuel  class indices as the run saw them, for each 512 x 512 block that some structure's
//                widest ring may touch: whatever changes cells on their way in is in there.
// Shape          of a structure: its footprint, where it stands, how its rings are stretched.
// Seen           shape and the blocks of fuel that the widest ring touches; with parcels also the
//                lines of their map that it may meet, in their order, with number and class of the
//                parcels at their sides. What lies between lines is known by them: faces agree at
//                every line; where there is none, one place tells. The measure of a structure
//                depends on this and on what is common, and on nothing else.
// Unions         what a structure adds depends on what it saw itself, and on the shapes, the order
//                and the neighbourhoods of all structures whose ground may meet its own. These are
//                sought in a box around the tile, which holds more of them than matter: too many
//                make a result be computed again in vain, too few would make it wrong.
// Surface        a block depends on its fuel, on the shapes of structures whose rings may touch it
//                and on what a square metre of conifer counts in each of their rings.
//
// Draws          depend on the shape and on the blocks that the widest ring touches when it is
//                moved by the largest shift, and on the shifts; on parcels, too, since the first
//                draw is the measure, whose last digits follow the lines that divide it.
// Slopes         come before all these, since rings follow them: they depend on the footprint, the
//                grid and the whole file of heights, whose blocks would take as long to digest as
//                slopes take to find.
//
// Operations between coordinate systems: that of the footprints is in shapes, that of parcels in
// common, that of heights in slopes.
//
// A NEW INPUT that changes results enters here: into `common_of` where it is one thing for the
// whole run, into `digest_structures` where it belongs to a structure. What changes footprints or
// cells before they are measured is in shapes and blocks without further ado. What only follows
// from results (ranks, means, tables) is computed again each time and needs no key; but a file that
// a run reads must be among `configured_inputs` (inputs.cpp), for "nothing changed".
#include "run/cache/cache_keys.hpp"

#include "base/serialization.hpp"
#include "exposure/slope_distance.hpp"
#include "io/cog/cog_writer.hpp"
#include "io/gdal/reprojection.hpp"
#include "run/inputs/systems.hpp"
#include "run/schedule/parallel.hpp"

#include <algorithm>
#include <stdexcept>

namespace fuelring {

namespace {

constexpr int block_cells = out_block_cells;

RawDigest common_of(const StageContext& context, const Inputs& inputs)
{
    ByteWriter bytes;
    bytes.put_text(program_digest());
    bytes(context.config.rings.outer_m, context.config.rings.weight);
    for (const FuelClass& c : inputs.classes.rows())
        bytes(c.code, c.group, c.conifer_share);
    put_grid(bytes, context.raster);
    return raw_digest(bytes.bytes());
}

/// How much further than the widest ring blocks are digested: shifts, and a little more, so that
/// rounding leaves no block out.
double slack_m(const std::optional<UncertaintyPlan>& uncertainty)
{
    return uncertainty ? 1.01 * uncertainty->shift_m + 0.01 : 0;
}

/// Calls visit(tile) for each tile of `index` that `rect` touches, row by row.
template <typename Visit>
void for_each_tile(const TileIndex& index, const CellRect& rect, Visit&& visit)
{
    const auto block = [](std::int64_t cell) { return floor_div(cell, block_cells); };
    for (std::int64_t row = block(rect.row); row <= block(rect.row + rect.rows - 1); ++row)
        for (std::int64_t col = block(rect.col); col <= block(rect.col + rect.cols - 1); ++col)
            if (const TileIndex::Tile* tile = index.find(row, col))
                visit(*tile);
}

} // namespace

RawDigest slopes_digest(const Inputs& inputs, const ElevationSource& source, const RingPlan& rings,
                        const std::string& elevation, std::span<const std::uint32_t> structures)
{
    ByteWriter bytes;
    bytes.put_text(program_digest());
    bytes.put_text(elevation);
    bytes.put(source.band);
    bytes.put_text(source.crs);
    bytes.put(inputs.elevation->unit().unit);
    bytes.put_text(inputs.elevation->layer_crs().operation.pipeline);
    put_grid(bytes, *inputs.raster);
    bytes(slope_within_m(rings), rings.widest_m());
    for (const std::uint32_t i : structures)
        bytes.put_text(bytes_of(shape_of(inputs.community.structures[i])));
    return raw_digest(bytes.bytes());
}

Dependencies::Dependencies(const StageContext& context, const Inputs& inputs)
    : community_(context.community), rings_(context.config.rings), grid_(context.raster.grid()),
      widest_m_(context.config.rings.widest_m()), uncertainty_(context.config.uncertainty),
      around_(TileIndex::of_whole_reach(community_, grid_, block_cells,
                                        widest_m_ + slack_m(context.config.uncertainty))),
      common_(common_of(context, inputs))
{
    digest_blocks(context);
    digest_structures(context);
}

Dependencies::ShortDigest Dependencies::shortened(const RawDigest& digest)
{
    ShortDigest half;
    std::copy_n(digest.begin(), half.size(), half.begin());
    return half;
}

void Dependencies::digest_blocks(const StageContext& context)
{
    struct Worker {
        FuelRaster::Reader reader;
        std::vector<ClassIndex> cells;
    };
    blocks_.resize(around_.tiles().size());
    for_each_in_parallel<Worker>(
        context.jobs, blocks_.size(),
        [&] {
            return Worker{FuelRaster::Reader{context.raster}, {}};
        },
        [&](Worker& worker, std::size_t t) {
            context.check_cancelled();
            const TileIndex::Tile& tile = around_.tiles()[t];
            const CellRect rect = cells_of_tile(tile.row, tile.col, block_cells, grid_);
            if (rect.empty())
                return;
            worker.cells.resize(static_cast<std::size_t>(rect.rows * rect.cols));
            worker.reader.read(rect, worker.cells);
            blocks_[t] = raw_digest({reinterpret_cast<const char*>(worker.cells.data()),
                                     worker.cells.size() * sizeof(ClassIndex)});
        },
        [](const Worker&) {});
}

void Dependencies::digest_structures(const StageContext& context)
{
    constexpr std::size_t at_once = 1024;
    const std::size_t count = community_.structures.size();
    shapes_.resize(count);
    seen_.resize(count);
    seen_shifted_.resize(uncertainty_ ? count : 0);
    for (const Structure& s : community_.structures) {
        most_scale_ = std::max({most_scale_, s.map_scale.x, s.map_scale.y});
        most_stretch_ = std::max({most_stretch_, s.stretch.down, s.stretch.across});
    }
    const auto digest = [&](std::size_t i) {
        shapes_[i] = shortened(shape_of(community_.structures[i]));
        seen_[i] = shortened(with_parcels(i, seen_by(i, 0)));
        if (uncertainty_)
            seen_shifted_[i] = shortened(with_parcels(i, seen_by(i, uncertainty_->shift_m)));
    };
    for_each_in_parallel(context.jobs, (count + at_once - 1) / at_once, [&](std::size_t k) {
        for (std::size_t i = k * at_once; i < std::min(count, (k + 1) * at_once); ++i)
            digest(i);
    });
}

/// The structure's shape and the fuel that its rings touch when it is moved by up to `moved_m`.
RawDigest Dependencies::seen_by(std::size_t structure, double moved_m) const
{
    std::string seen{bytes_of(shapes_[structure])};
    const Structure& s = community_.structures[structure];
    for_each_tile(
        around_, reach_of(s, grid_, widest_m_, moved_m), [&](const TileIndex::Tile& tile) {
            seen += bytes_of(blocks_[static_cast<std::size_t>(&tile - around_.tiles().data())]);
        });
    return raw_digest(seen);
}

/// `seen`, and the parcels that the structure's rings may meet.
RawDigest Dependencies::with_parcels(std::size_t structure, const RawDigest& seen) const
{
    if (!community_.owners)
        return seen;
    const Ownership& owners = *community_.owners;
    const CellRect reach = reach_of(community_.structures[structure], grid_, widest_m_);
    const double width = grid_.cell_width_m();
    const double height = grid_.cell_height_m();
    const Box box{{static_cast<double>(reach.col) * width,
                   -static_cast<double>(reach.row + reach.rows) * height},
                  {static_cast<double>(reach.col + reach.cols) * width,
                   -static_cast<double>(reach.row) * height}};
    ByteWriter bytes;
    bytes.put_text(bytes_of(seen));
    const auto put_parcel = [&](std::int32_t parcel) {
        bytes(parcel, static_cast<std::uint64_t>(owners.kind_of(parcel)));
    };
    bytes(static_cast<std::uint64_t>(owners.kind_count()), owners.private_class.value_or(-1));
    for (const std::int64_t number : owners.map.layout())
        bytes.put(number);
    std::vector<std::uint32_t> lines = owners.map.lines_about(box);
    std::sort(lines.begin(), lines.end());
    for (const std::uint32_t k : lines) {
        const ParcelLine& line = owners.map.lines()[k];
        bytes(line.line.a.x, line.line.a.y, line.line.b.x, line.line.b.y);
        put_parcel(line.left);
        put_parcel(line.right);
    }
    put_parcel(owners.map.at(0.5 * (box.min + box.max)));
    return raw_digest(bytes.bytes());
}

RawDigest Dependencies::of_draws(std::span<const std::uint32_t> structures) const
{
    ByteWriter bytes;
    bytes.put_text(bytes_of(common_));
    bytes(uncertainty_.value().shift_m, uncertainty_->draws);
    for (const std::uint32_t i : structures)
        bytes.put_text(bytes_of(seen_shifted_[i]));
    return raw_digest(bytes.bytes());
}

RawDigest Dependencies::of_measures(std::span<const std::uint32_t> structures) const
{
    std::string bytes{bytes_of(common_)};
    for (const std::uint32_t i : structures)
        bytes += bytes_of(seen_[i]);
    return raw_digest(bytes);
}

/// Rising numbers of all whose reach may meet that of one of `structures`, themselves included.
std::vector<std::uint32_t>
Dependencies::neighbours_of(std::span<const std::uint32_t> structures) const
{
    CellRect box;
    for (const std::uint32_t i : structures)
        box = hull(box, reach_of(community_.structures[i], grid_, widest_m_));
    std::vector<std::uint32_t> found;
    for_each_tile(around_, box, [&](const TileIndex::Tile& tile) {
        for (const std::uint32_t i : around_.structures(tile))
            if (!intersection(reach_of(community_.structures[i], grid_, widest_m_), box).empty())
                found.push_back(i);
    });
    std::sort(found.begin(), found.end());
    found.erase(std::unique(found.begin(), found.end()), found.end());
    return found;
}

RawDigest Dependencies::of_unions(std::span<const std::uint32_t> structures) const
{
    ByteWriter bytes;
    bytes.put_text(bytes_of(common_));
    bytes(most_scale_, most_stretch_);
    for (const std::uint32_t i : structures)
        bytes.put_text(bytes_of(seen_[i]));
    for (const std::uint32_t i : neighbours_of(structures)) {
        bytes.put_text(bytes_of(shapes_[i]));
        bytes(number_of_neighbourhood(community_, community_.structures[i]),
              std::binary_search(structures.begin(), structures.end(), i));
    }
    return raw_digest(bytes.bytes());
}

RawDigest Dependencies::of_surface(const TileIndex::Tile& block,
                                   std::span<const std::uint32_t> structures,
                                   const std::vector<StructureResult>& results) const
{
    ByteWriter bytes;
    bytes.put_text(bytes_of(common_));
    const TileIndex::Tile* fuel = around_.find(block.row, block.col);
    if (!fuel)
        throw std::logic_error{"a block that rings reach was not digested"};
    bytes.put_text(bytes_of(blocks_[static_cast<std::size_t>(fuel - around_.tiles().data())]));
    for (const std::uint32_t i : structures) {
        bytes.put_text(bytes_of(shapes_[i]));
        bytes.put(points_per_m2(*results[i].measure, rings_));
    }
    return raw_digest(bytes.bytes());
}

} // namespace fuelring
