// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/gdal/crs.hpp"
#include "io/gdal/handles.hpp"

#include <filesystem>
#include <string>

class OGRSpatialReference;

namespace fuelring {

enum class InputKind { raster, vector };
/// Whether GDAL makes UTF-8 of a shapefile's texts, by what the file says that they are.
enum class TextBytes { decoded, as_they_are };

/// Pipes, sockets and devices are refused before GDAL opens them, since it would wait for ever:
/// `input` itself, what lies beside it that readers of its format may open, all in it where it is a
/// folder. `key` as below. Throws: Error{input} naming the file.
void require_regular_files(const std::filesystem::path& input, const std::string& key);

/// Opens an input for reading. A plain local file may be of a plain data format only: one that
/// GDAL would take for a VRT or another pointer to elsewhere is refused unless `remote_allowed`.
/// `key` is the table of the configuration that names it, such as inputs.fuel.
/// Throws: Error{input} with GDAL's own reason.
/// Requires: set_up_gdal was called. The handle serves one thread. Datasets are opened anew by each
/// worker.
DatasetPtr open_input(const std::string& path, InputKind kind, bool remote_allowed,
                      const std::string& key, TextBytes texts = TextBytes::decoded);

/// Opens a file that fuelring wrote, by its driver alone ("GTiff"); null where that cannot read it:
/// the caller's GdalErrors tells why.
DatasetPtr open_own(const std::filesystem::path& file, const char* driver,
                    InputKind kind = InputKind::raster);

/// True where a file says what its CRS is: GeoPackages without one have one called "Undefined ...".
bool is_known_crs(const OGRSpatialReference* srs);

/// The CRS of an input: the file's own, else the one that is set for it (`fallback`), by `setting`:
/// "inputs.fuel.crs" of the configuration, or an option.
/// Throws: Error{input} saying how to give one where there is neither, Error{usage} for nonsense.
Crs crs_of_input(const OGRSpatialReference* in_file, const std::string& fallback,
                 const std::string& path, const std::string& setting);

} // namespace fuelring
