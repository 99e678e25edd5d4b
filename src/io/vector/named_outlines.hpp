// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/sources.hpp"
#include "io/georeference/analysis_grid.hpp"

#include <fuelring/footprint.hpp>
#include <fuelring/grid.hpp>

#include <functional>
#include <string>
#include <vector>

namespace fuelring {

/// The column of a layer that has a name for each polygon, such as the owner of a parcel.
struct NameColumn {
    std::string name;
    std::string setting; ///< the configuration's word for the column
};

/// One polygon of it, in metres of its frame on the unscaled grid; free of crossings.
struct NamedOutline {
    std::string name;
    CellFrame frame;
    Footprint footprint;
    CellRect cells; ///< that it may touch
};

/// Outlines that meet the grid, in the order of the file; `name_of` makes a name of what stands in
/// the column (empty where the cell is). `key` as VectorLayer's.
/// Throws: Error{input} naming layer and feature.
std::vector<NamedOutline>
read_named_outlines(const std::string& key, const LayerSource& source, const NameColumn& names,
                    const AnalysisGrid& analysis,
                    const std::function<std::string(const std::string&)>& name_of);

} // namespace fuelring
