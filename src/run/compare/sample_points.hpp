// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/tables/column.hpp"

#include <nlohmann/json_fwd.hpp>

#include <array>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// How well the reference points of a comparison are to tell its accuracy.
struct SampleWish {
    double se = 0;                     ///< wanted standard error of overall accuracy; 0: no plan
    std::vector<std::string> expected; ///< "removed=0.7": user's accuracy expected of a class
};

/// Reference points that the command line asks for.
struct DrawWish {
    std::int64_t points = 0; ///< 0: none
    std::uint64_t seed = 1;
    std::optional<double> within_m{}; ///< of the walls; none: the widest distance of both runs
};

/// The expected accuracies (shares from 0 to 1) in the order removed, regrown, unchanged,
/// no_conifer. Throws: Error{usage} naming what is wrong or missing. Requires:
/// a plan is wanted.
std::array<double, 4> expected_accuracies(const SampleWish& wish);

/// Writes sample_points.csv: how many points to draw at random within each class of change.tif.
/// `class_m2`: the ground of each class within the widest distance, as ChangeArea::class_m2. Two
/// numbers for each class: in proportion to its ground, and the fewest that reach the wanted error.
/// Returns the plan's summary. Throws: Error{input} where the wish takes too many points,
/// Error{output}. Source: Olofsson et al. 2014, doi:10.1016/j.rse.2014.02.015, see
/// fuelring/statistics/sample_plan.hpp.
nlohmann::json write_sample_points(const std::filesystem::path& path,
                                   const std::array<double, 4>& class_m2, const SampleWish& wish,
                                   bool bom);
/// Columns of sample_points.csv, for the manual.
FileColumns sample_table();

} // namespace fuelring
