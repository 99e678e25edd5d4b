// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/warnings.hpp"
#include "io/gdal/reprojection.hpp"

#include <string>
#include <vector>

namespace fuelring {

/// How one layer came into the analysis CRS.
struct LayerCrs {
    std::string key; ///< of the configuration: "inputs.structures"
    std::string path;
    Crs crs; ///< the layer's own
    /// "inputs.structures: WGS 84 (EPSG:4326) by the file, reprojected to ... by ...", for the log.
    std::string note;
    CoordinateOperation operation;
};

/// What there is to say about operations: ballpark_operations, grids_missing.
/// Throws: Error{input} for the first that states more than `within_m`; `accept` is the remedy's
/// word for what accepts it ("inputs.reprojected_within_m").
/// `within_m`: metres, the accuracy that an operation's authors state. One that states none, or is
/// a ballpark one, is not refused: there is nothing to compare.
void judge_operations(const std::vector<LayerCrs>& layers, double within_m,
                      const std::string& accept, Warnings& warnings);

} // namespace fuelring
