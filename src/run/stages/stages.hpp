// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/cog/cog_writer.hpp"
#include "run/schedule/stage_context.hpp"
#include "run/schedule/stage_results.hpp"

#include <cstdint>
#include <vector>

namespace fuelring {

/// Measures every structure (of the share), by tiles of context.tile_cells; results[i] belongs to
/// structure i.
std::vector<StructureMeasure> measure_structures(const StageContext& context, WorkTimes& times);

/// Computes the priority surface by blocks of the output and hands them to both rasters. Totals by
/// tile of TileIndex::of_reach; empty ones where the share has not the block.
std::vector<SurfaceTotals> spread_surface(const StageContext& context,
                                          const std::vector<StructureResult>& results,
                                          RasterOut& priority, RasterOut& fuel_used,
                                          WorkTimes& times);

/// What each structure adds to the union of those before it, over the whole community and over its
/// own neighbourhood (exposure/neighbourhoods.hpp); results[i] belongs to structure i.
AddedConifers unite_structures(const StageContext& context,
                               const std::vector<StructureMeasure>& measures, UnionCounts& counts,
                               WorkTimes& times);

/// Measures every structure (of the share) again under each shift of config.uncertainty, which is
/// there.
DrawnFigures draw_registrations(const StageContext& context,
                                const std::vector<StructureResult>& results, WorkTimes& times);
/// Ranks every draw; `rows` are those of the neighbourhood table.
RegistrationDraws rank_registrations(const UncertaintyPlan& plan, RankBy rank_by,
                                     const Community& community,
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
std::int64_t work_units(std::int64_t draws, bool with_plan, const Community& community);

} // namespace fuelring
