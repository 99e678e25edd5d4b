// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/georeference/analysis_grid.hpp"

#include <fuelring/footprint.hpp>
#include <fuelring/grid.hpp>

#include <functional>
#include <string>
#include <vector>

namespace fuelring {

/// A layer of polygons with a name each, such as parcels with their owners.
struct NamedLayer {
    std::string key; ///< table of the configuration
    std::string path;
    std::string layer;
    std::string column;
    std::string column_key; ///< the configuration's word for the column
    std::string where;
    std::string crs;
    bool remote_allowed = false;
};

/// One polygon of it, in metres of its frame on the unscaled grid; free of crossings.
struct NamedOutline {
    std::string name;
    CellFrame frame;
    Footprint footprint;
    CellRect cells; ///< that it may touch
};

/// Outlines that meet the grid, in the order of the file; `name_of` makes a name of what stands in
/// the column (empty where the cell is). Throws: Error{input} naming layer and feature.
std::vector<NamedOutline>
read_named_outlines(const NamedLayer& source, const AnalysisGrid& analysis,
                    const std::function<std::string(const std::string&)>& name_of);

} // namespace fuelring
