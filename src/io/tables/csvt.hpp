// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/geopackage/gpkg_file.hpp"

#include <filesystem>
#include <vector>

namespace fuelring {

/// Writes the types of a CSV's columns beside it, as desktop GIS look for them: NAME.csvt by
/// NAME.csv. Throws: Error{output}.
void write_csvt(std::filesystem::path csv, const std::vector<GpkgField::Type>& types);

} // namespace fuelring
