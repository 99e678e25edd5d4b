// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/fuel_classes.hpp>
#include <fuelring/statistics/accuracy.hpp>

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// What the cells of each class may be in truth, from reference points.
struct ClassConfusion {
    struct Row {
        std::vector<ClassIndex> truth;
        std::vector<double> until; ///< running sum of the shares of `truth`; the last is 1
        double expected_share = 0; ///< of conifers
    };
    std::vector<std::optional<Row>> of; ///< by class index; none: as the raster says
};
/// Classes are named by label or code; one without points on the map is as the raster says.
/// Throws: Error{usage} naming `path` and the class: one that the table lacks, or that is unmapped.
ClassConfusion confusion_of(const ConfusionMatrix& matrix, const FuelClassTable& table,
                            const std::string& path);

/// Conifer shares in ten-thousandths, by class index.
std::vector<std::int32_t> shares_of(const FuelClassTable& classes);
/// The same as another table has them for the codes of `classes`.
/// Throws: Error{usage} naming `path` and a code that it lacks, or that one of them leaves
/// unmapped.
std::vector<std::int32_t> shares_in(const FuelClassTable& other, const FuelClassTable& classes,
                                    const std::string& path);

} // namespace fuelring
