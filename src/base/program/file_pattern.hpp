// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

namespace fuelring {

/// True for a name with * ? or [ that is not the name of a file as it stands.
bool is_file_pattern(const std::string& path);

/// The files whose names a pattern of the shell fits (glob(7)), by name in the order of bytes,
/// without what only stands beside a raster or layer: world files, statistics, overviews, masks,
/// checksums. Empty where there is none.
std::vector<std::string> files_of_pattern(const std::string& pattern);

} // namespace fuelring
