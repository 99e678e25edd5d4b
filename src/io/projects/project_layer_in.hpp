// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/warnings.hpp"
#include "io/georeference/analysis_grid.hpp"
#include "io/georeference/layer_crs.hpp"
#include "projects/project_groups.hpp"

#include <string>
#include <vector>

namespace fuelring {

/// A layer of drawn projects, as the command line names it.
struct ProjectSource {
    std::string path{};
    std::string layer{};
    std::string name{}; ///< column; `project` or `name` where empty
    std::string crs{};  ///< only if the file has none
};

/// Drawn polygons in the order of the file.
struct ProjectLayer {
    std::vector<ProjectPolygon> polygons;
    /// By polygon: units of the grid from the corner of cell (0, 0), without overlaps.
    std::vector<std::vector<RawPolygon>> ground;
    std::vector<GroundPart> parts; ///< of all of them, cut along each other
    std::vector<double> part_m2;   ///< by part, of the ground
    LayerCrs crs;                  ///< how they came into the analysis CRS
};

/// Columns beside the name: `leaves` (share of conifers that stays, 0 to 1; 0 without the column),
/// `cost` (of the whole polygon) or `cost_per_ha`, `year`. A layer without a column of names has a
/// project for every polygon, named by its feature id.
/// Throws: Error{input} naming layer and feature, Faults for several: no polygons, a column that is
/// missing, a share outside 0 to 1, a cost that is no amount of money, both kinds of cost.
/// Polygons without ground are left out, repaired ones kept, polygons that do not say what they
/// leave are cleared; all counted in `warnings`.
ProjectLayer read_projects(const ProjectSource& source, const AnalysisGrid& analysis,
                           Warnings& warnings);

} // namespace fuelring
