// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/cog/cog_writer.hpp"
#include "run/schedule/stage_context.hpp"
#include "run/schedule/stage_results.hpp"

#include <cstdint>
#include <vector>

namespace fuelring {

// The parallel stages. Each runs context.jobs workers over tiles, adds the seconds they spent to
// `times`, and is a phase of context.progress. Where context.reuse is there, a tile is asked of it
// first. Results of structures that the share leaves out are there, but empty. Law: the same bits
// for every number of workers, every size of tiles, with and without reuse. Throw: Error{input}
// when a block of the raster cannot be read; what context.check_cancelled throws.

/// Measures every structure (of the share), by tiles of context.tile_cells; results[i] belongs to
/// structure i.
std::vector<MeasuredStructure> measure_structures(const StageContext& context, WorkTimes& times);

/// Computes the priority surface by blocks of the output and hands them to both rasters. Totals by
/// tile of TileIndex::of_reach; empty ones where the share has not the block. Priority is points of
/// exposure in a cell, NaN where no ring reaches or nothing is mapped. A block that neither ring
/// nor roof touches is not put and stays sparse. `results` need measures of all whose rings reach
/// a block of the share. Throws: besides, Error{output}. The caller finishes the rasters.
std::vector<SurfaceTotals> spread_surface(const StageContext& context,
                                          const std::vector<StructureResult>& results,
                                          RasterOut& priority, RasterOut& fuel_used,
                                          WorkTimes& times);

/// What each structure adds to the union of those before it, over the whole community and over its
/// own neighbourhood (exposure/neighbourhoods.hpp), in square metres of conifer, by distance;
/// results.of(i) belongs to structure i. "Before" is the order of the community, which decides
/// what each adds, but the sum only by its rounding. `counts` are added to.
AddedConifers unite_structures(const StageContext& context,
                               const std::vector<MeasuredStructure>& measures, UnionCounts& counts,
                               WorkTimes& times);

/// Measures every structure (of the share) again under each shift of config.uncertainty, which is
/// there. Draw 0 shifts nothing and takes the rings of `results`, which need their measures.
DrawnFigures draw_registrations(const StageContext& context,
                                const std::vector<StructureResult>& results, WorkTimes& times);
/// Ranks every draw; `rows` are those of the neighbourhood table. Needs all structures, so it has
/// no part in shards. How many ranks count as first comes from `plan`, else from how many
/// structures, or neighbourhoods, have a rank.
RegistrationDraws rank_registrations(const UncertaintyPlan& plan, RankBy rank_by,
                                     const Community& community,
                                     const std::vector<StructureResult>& results,
                                     const std::vector<NeighbourhoodRow>& rows, DrawnFigures drawn);

} // namespace fuelring
