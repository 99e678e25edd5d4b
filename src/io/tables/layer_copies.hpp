// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace fuelring {

/// Throws: Error{usage} naming output.copies where this GDAL cannot write the format, "flatgeobuf"
/// or "geoparquet".
void require_copy_driver(const std::string& format);

/// Copies each layer of fuelring.gpkg in `folder` into a file of its own beside it, LAYER.fgb or
/// LAYER.parquet, with all columns. Rows of FlatGeobuf come in the order of its index, and those
/// without a place, such as neighbourhoods' "(community)", are not there. The names of the files.
/// Throws: Error{output}; as require_copy_driver.
std::vector<std::string> write_layer_copies(const std::filesystem::path& folder,
                                            const std::vector<std::string>& formats);

} // namespace fuelring
