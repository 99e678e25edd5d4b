// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/sources.hpp"
#include "io/comparison/treatment_records_in.hpp"
#include "run/compare/sample_points.hpp"

#include <filesystem>

namespace fuelring {

/// What the command line says.
struct ChangeOptions {
    std::filesystem::path before; ///< folders of two runs of fuelring map
    std::filesystem::path after;
    std::filesystem::path out;
    std::filesystem::path matrix; ///< confusion matrix of the classes of change; empty: none
    std::string points;           ///< file of filled reference points; empty: none
    std::string points_layer = "reference_points";
    DrawWish draw;        ///< reference points to draw
    RecordSource records; ///< treated polygons; none where its path is empty
    SampleWish sample;    ///< reference points to plan for; none where its se is 0
    int jobs = 0;         ///< 0: one a core
    /// Stated inaccuracy of operations between systems; more is refused.
    double reprojected_within_m = default_reprojected_within_m;
};

} // namespace fuelring
