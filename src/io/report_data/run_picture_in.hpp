// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/georeference/analysis_grid.hpp"
#include "report/run_picture.hpp"

#include <filesystem>
#include <vector>

namespace fuelring {

/// A folder that fuelring map published, opened and verified.
struct PictureSource {
    std::filesystem::path folder;
    const nlohmann::json& manifest; ///< its run.json
    const RingPlan& rings;
    const AnalysisGrid& analysis; ///< of its rasters
};

/// Reads what people look at of a run: fuelring.gpkg, priority.tif, fuel_used.tif, and where
/// run.json names them treatment.gpkg and benefit_curve.csv. Pictures of the surface have at most
/// `most_pixels`. Throws: Error{input} naming the file.
RunPicture read_run_picture(const PictureSource& source, std::int64_t most_pixels = 4'000'000);

} // namespace fuelring
