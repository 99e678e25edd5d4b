// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "change/reference_estimate.hpp"
#include "io/gdal/crs.hpp"
#include "io/georeference/analysis_grid.hpp"
#include "io/tables/column.hpp"

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// A point that was drawn.
struct DrawnPoint {
    std::int64_t id = 0; ///< from 1 on, in the order of the draw: classes are mixed
    std::size_t map_class = 0;
    Point at; ///< in the CRS of AFTER's grid
};

/// reference_points.gpkg: the layer `reference_points` with columns to fill in. `within_m`: how far
/// from the walls the points were drawn. Throws: Error{output}.
void write_reference_points(const std::filesystem::path& path,
                            const std::vector<DrawnPoint>& points, double within_m, const Crs& crs);

/// A point of that layer as it came back.
struct FilledPoint {
    std::string id;
    std::size_t map_class = 0;
    Point at; ///< in the CRS of the analysis grid
    /// What was found there; empty where nothing is filled in.
    std::optional<ChangeShares> found;
};
struct FilledPoints {
    std::vector<FilledPoint> points; ///< in the order of the file
    double within_m = 0;
};
/// Reads a filled layer. A point is judged by one of the classes in `reference` (capitals do not
/// matter), or by the shares of its cell under conifers in `conifer_before` and `conifer_after`.
/// Throws: Error{input} naming layer and feature: no points, a column that is missing, anything
/// else in these columns, points of draws within different distances.
FilledPoints read_reference_points(const std::string& path, const std::string& layer,
                                   const AnalysisGrid& analysis);

/// What a filled-in pair of shares says of a cell: what was lost, what came, what stayed.
ChangeShares shares_between(double before, double after);

/// change_accuracy.csv: the matrix and the accuracies, a row a class and one for all.
/// Throws: Error{output}.
void write_change_accuracy_csv(const std::filesystem::path& path, const ReferenceAccuracy& accuracy,
                               bool bom);

/// Columns of both, for the manual.
std::vector<FileColumns> reference_tables();

} // namespace fuelring
