// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "imagery/winter_rule.hpp"
#include "io/imagery/image_source.hpp"

#include <filesystem>
#include <optional>
#include <vector>

namespace fuelring {

class ConfigTable;

/// The tables [imagery...]: what `classify` makes a fuel raster of (src/manual/imagery.md).
struct ImagerySettings {
    std::vector<ImageSource> images;        ///< at least one
    bool around_structures = true;          ///< else the whole images
    std::optional<double> cell_m;           ///< empty: that of the first image, 0.5 m at least
    std::optional<TrainingSource> training; ///< empty: by a rule (leaf-off images and heights)
    WinterRule rule;                        ///< where there is no training
    std::filesystem::path out;              ///< absolute; empty where it is not given
};

/// Throws: Error{usage} naming file, line and key; Error{input} for a pattern that fits no file.
ImagerySettings read_imagery(const ConfigTable& imagery);

} // namespace fuelring
