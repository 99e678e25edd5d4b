// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

namespace fuelring {

/// "NAME=value" of every variable of the environment that GDAL, PROJ, curl and libpq heed in this
/// program, and of GDAL's configuration files, sorted by name; a secret is shown as `***`. Left out
/// are those that the program decides itself (set_up_gdal).
/// Source: from memory of GDAL's, PROJ's and PostgreSQL's documentation; told by their prefixes.
std::vector<std::string> gdal_environment();

} // namespace fuelring
