// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/cog/cog_pixels.hpp"
#include "io/cog/cog_writer.hpp"
#include "io/cog/tiff_container.hpp"

#include <array>
#include <vector>

namespace fuelring {

/// Where the raster lies: the tags of GeoTIFF for grid and CRS, as GDAL writes them (copied from a
/// raster of one cell, so that every CRS GDAL can express is expressed in its way).
/// Throws: Error{output}.
/// Source of the codes: GeoTIFF 1.1 (OGC 19-008r4). Without a CRS only the place is told.
std::vector<TiffTag> georeference_tags(const Grid& grid, const Crs& crs);

/// Tags every picture of the file carries: size, cell type, packing, nodata.
/// Source of the codes: TIFF 6.0; 42113 is GDAL's own.
std::vector<TiffTag> picture_tags(RasterOutSpec::Kind kind, std::uint32_t cols, std::uint32_t rows,
                                  bool overview);

/// GDAL's metadata: band descriptions, statistics of the valid cells among `all_cells`, and the
/// spec's own.
/// `all_cells`: those of the raster, nodata among them, for the percentage that is valid. A band
/// without a valid cell has no statistics. Texts may hold any character of XML.
TiffTag metadata_tag(const RasterOutSpec& spec, const std::array<BandStats, 2>& stats,
                     std::int64_t all_cells);

} // namespace fuelring
