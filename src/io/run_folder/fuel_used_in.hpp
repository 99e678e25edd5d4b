// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "change/fuel_patch.hpp"
#include "io/gdal/handles.hpp"
#include "io/georeference/analysis_grid.hpp"
#include "io/raster/band_reader.hpp"

#include <string>

namespace fuelring {

/// The fuel that an earlier run saw: its fuel_used.tif. One object serves one thread.
class FuelUsed {
public:
    /// Throws: Error{input} naming the file: not a raster, not two bands of UInt16.
    explicit FuelUsed(const std::string& path);

    /// Where its cells lie.
    const Grid& grid() const { return grid_; }
    const Crs& crs() const { return crs_; }

    /// What the run saw of `rect`, which may leave the raster: ground off it is unmapped, and
    /// never reached. Throws: Error{input} with GDAL's reason when a block cannot be read.
    FuelPatch read(const CellRect& rect);

private:
    struct Opened;
    explicit FuelUsed(Opened opened);
    static Opened open(const std::string& path);

    DatasetPtr file_;
    BandReader share_;
    BandReader group_;
    Crs crs_;
    Grid grid_;
};

} // namespace fuelring
