// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/progress.hpp"
#include "change/treated_ground.hpp"
#include "exposure/community.hpp"
#include "geometry/dissolve/structure_index.hpp"
#include "io/cog/cog_writer.hpp"
#include "run/compare/compared_fuel.hpp"

#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// What the parallel stages of a comparison work on and with. Owns nothing but its path and
/// function; what it refers to must outlive the stage.
struct ChangeContext {
    const Community& members;              ///< outlines that take part, on AFTER's grid
    const std::vector<std::size_t>& group; ///< by member: its neighbourhood
    const CommonRings& rings;
    const AnalysisGrid& analysis; ///< AFTER's
    const BeforeGrid& before;
    const std::optional<Ownership>& owners; ///< AFTER's, on its grid
    const TreatedGround& treated;           ///< on AFTER's grid; may be empty
    std::string after_fuel;                 ///< path of its fuel_used.tif
    bool with_classes = false;              ///< fill in ChangeArea::class_m2
    int jobs = 1;
    Progress& progress;
    std::function<void()> check_cancelled; ///< throws when the run should stop

    const Grid& grid() const { return analysis.grid; }
};

/// The members as their unions see them. `context.members` must outlive it.
StructureIndex index_of_members(const ChangeContext& context);
/// Work of both stages, as phases of a run.
std::int64_t work_of_change(const Community& members);

/// Change around every member and what it adds to those before it; results[i] belongs to member i.
/// Areas are square metres of the ground; [0] is the roof, [k] all within the k-th distance.
/// Law: the same bits for every number of workers.
/// Throws: Error{input} as ComparedFuel; what context.check_cancelled throws.
std::vector<OutlineChange> measure_changes(const ChangeContext& context);

/// Numbers of cells of change.tif, by CellChange as index.
using CellCounts = std::vector<std::int64_t>;

/// Writes both bands of change.tif, block by block, wherever one of `everywhere` reaches
/// (structures of both runs, on AFTER's grid, with their own widest distances). Returns how
/// many cells of each kind it wrote. The caller finishes `raster`. Throws: besides, Error{output}.
CellCounts write_cell_changes(const ChangeContext& context, const Community& everywhere,
                              double widest_m, RasterOut& raster);

} // namespace fuelring
