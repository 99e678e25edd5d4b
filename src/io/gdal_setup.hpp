// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>

namespace fuelring {

/// Makes GDAL ready for a program of fuelring: called once by main, before any thread starts.
/// Drivers are registered; no `.aux.xml` is read or written beside an input; VRTs run no Python;
/// PROJ fetches nothing; GDAL's messages stay quiet, since every failure becomes an Error that
/// carries them (CPL_DEBUG still prints its traces).
void set_up_gdal();

/// At most so many bytes of decoded raster blocks are kept (GDAL's own bound is a twentieth of the
/// machine's memory). GDAL_CACHEMAX in the environment goes before.
void bound_block_cache(std::size_t bytes);

/// True for what GDAL opens by other means than a plain local file: /vsi..., PG:..., URLs, XML.
bool is_connection_string(const std::string& path);

} // namespace fuelring
