// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

namespace fuelring {

/// Makes GDAL ready for a program of fuelring: called once by main, before any thread starts.
/// Drivers are registered; no `.aux.xml` is read or written beside an input; VRTs run no Python;
/// PROJ fetches nothing; GDAL's messages stay quiet, since every failure becomes an Error that
/// carries them (CPL_DEBUG still prints its traces).
void set_up_gdal();

/// True for what GDAL opens by other means than a plain local file: /vsi..., PG:..., URLs, XML.
bool is_connection_string(const std::string& path);

} // namespace fuelring
