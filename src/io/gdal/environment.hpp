// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <nlohmann/json_fwd.hpp>

#include <string>
#include <vector>

namespace fuelring {

// What figures depend on besides inputs and configuration.

/// "NAME=value" of every variable of the environment that GDAL, PROJ, curl and libpq follow in this
/// program, and of GDAL's configuration files, sorted by name; a secret is shown as `***`. Left out
/// are those that the program decides itself (set_up_gdal).
/// They are told by the prefixes that these documents give their variables.
/// Source: GDAL's documentation, "Configuration options" and "Network based file systems"; PROJ's,
/// "Environment variables"; libcurl-env(3); PostgreSQL's, "libpq: Environment Variables".
std::vector<std::string> gdal_environment();

/// Versions of fuelring and of the libraries its figures depend on.
/// Shape: an object of texts by name: fuelring, gdal, proj, geos.
nlohmann::json program_versions();

/// Names and sizes of the files in the folders where PROJ looks for grids: a new one may change
/// which operation is chosen.
/// Shape: "PATH SIZE" a line, in bytes, sorted. A folder that cannot be read counts as empty.
std::string proj_files();

} // namespace fuelring
