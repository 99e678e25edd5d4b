// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/gdal/handles.hpp"
#include "io/raster/deflate_blocks.hpp"

#include <fuelring/grid.hpp>

#include <memory>
#include <string>

namespace fuelring {

/// One band, or mask, of an open raster file, of which windows are read. The dataset must stay
/// open.
class BandReader {
public:
    BandReader(GDALRasterBandH band, std::string path);

    GDALRasterBandH band() const { return band_; }

    /// Reads a window as cells of `type`. Requires: it lies on the raster, and `into` holds it.
    /// Throws: Error{input}, with GDAL's reason, when a block cannot be read or is damaged.
    void read(const CellRect& rect, void* into, GDALDataType type);

private:
    GDALRasterBandH band_;
    std::string path_;
    std::unique_ptr<DeflateBlocks> blocks_; ///< only where they carry a checksum
};

} // namespace fuelring
