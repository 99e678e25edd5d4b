// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "exposure/community.hpp"
#include "exposure/draws.hpp"
#include "exposure/neighbourhoods.hpp"
#include "exposure/ranking.hpp"
#include "io/fuel_raster.hpp"
#include "io/raster_out.hpp"
#include "run/config.hpp"
#include "run/log.hpp"

#include <cstdint>
#include <functional>
#include <vector>

namespace fuelring {

/// Seconds spent by all workers together, by what they did.
struct WorkTimes {
    double read_s = 0;     ///< windows of the raster: read, decompressed, looked up
    double prefix_s = 0;   ///< running row sums
    double outlines_s = 0; ///< ring boundaries
    double walk_s = 0;     ///< integrals and nearest distances
    double transpose_s = 0;
    double union_s = 0;      ///< what structures add to each other, all of it
    double union_read_s = 0; ///< of it, windows of the raster and their sums
    double draws_s = 0;      ///< registration draws, all of it
    double draws_read_s = 0; ///< of it, windows of the raster and their sums
    double write_s = 0;      ///< blocks handed to the output files, compression included

    WorkTimes& operator+=(const WorkTimes& other);
};

class Reuse;
class TreatedFuel;
struct Share;

/// What the parallel stages work on and with.
struct StageContext {
    const Config& config;
    const Community& community;
    const FuelRaster& raster;
    int jobs = 1;
    int tile_cells = default_tile_cells;
    Progress& progress;
    std::function<void()> check_cancelled; ///< throws when the run should stop
    const TreatedFuel* treated = nullptr;  ///< measure the ground as units will leave it
    Reuse* reuse = nullptr;                ///< what an earlier run left; asked first, told after
    const Share* share = nullptr;          ///< do this part of the work only
};

/// Measures every structure (of the share), by tiles of context.tile_cells; results[i] belongs to
/// structure i.
std::vector<StructureMeasure> measure_structures(const StageContext& context, WorkTimes& times);

/// Sums over the surface as it was computed, before rounding to Float32.
struct SurfaceTotals {
    double points = 0;                        ///< sum over mapped cells: equals the summed exposure
    std::int64_t cells = 0;                   ///< cells some ring reaches
    std::int64_t unmapped = 0;                ///< of them, without a known class
    std::vector<std::int64_t> cells_of_class; ///< reached cells by class index
};
/// In their order, for the same bits; `classes` is how many the class table has.
SurfaceTotals sum_of(const std::vector<SurfaceTotals>& blocks, std::size_t classes);

/// Computes the priority surface by blocks of the output and hands them to both rasters. Totals by
/// tile of TileIndex::of_reach; empty ones where the share has not the block.
std::vector<SurfaceTotals> spread_surface(const StageContext& context,
                                          const std::vector<StructureResult>& results,
                                          RasterOut& priority, RasterOut& fuel_used,
                                          WorkTimes& times);

/// How what structures add to each other was found: numbers of regions, one for each structure,
/// distance and union.
struct UnionCounts {
    std::int64_t exact = 0;
    std::int64_t nudged = 0;
    std::int64_t capsules = 0;
    std::int64_t owners_nudged = 0; ///< splits by owner, as OwnerSplit says
    std::int64_t owners_open = 0;

    UnionCounts& operator+=(const UnionCounts& other);
};

/// What each structure adds to the union of those before it, over the whole community and over its
/// own neighbourhood (exposure/neighbourhoods.hpp); results[i] belongs to structure i.
AddedConifers unite_structures(const StageContext& context,
                               const std::vector<StructureMeasure>& measures, UnionCounts& counts,
                               WorkTimes& times);

/// What the draws give by structure, before anything is compared.
struct DrawnFigures {
    ExposureDraws exposures{0, 0};
    std::vector<StructureDraws> structures;
};
/// Measures every structure (of the share) again under each shift of config.uncertainty, which is
/// there.
DrawnFigures draw_registrations(const StageContext& context,
                                const std::vector<StructureResult>& results, WorkTimes& times);
/// Ranks every draw; `rows` are those of the neighbourhood table.
RegistrationDraws rank_registrations(const Config& config, const Community& community,
                                     const std::vector<StructureResult>& results,
                                     const std::vector<NeighbourhoodRow>& rows, DrawnFigures drawn);

/// Work that the stages report to `progress`, for a structure (draws: for a structure and draw), in
/// proportion to the time they took on 200,000 structures.
namespace work_of {
inline constexpr std::int64_t measure = 4;
inline constexpr std::int64_t unite = 4;
inline constexpr std::int64_t draw = 1;
inline constexpr std::int64_t spread = 3;
inline constexpr std::int64_t write_row = 2; ///< of a layer, and of reading it again
} // namespace work_of

/// The sum of that over a run of `map`.
std::int64_t work_units(const Config& config, const Community& community);

} // namespace fuelring
