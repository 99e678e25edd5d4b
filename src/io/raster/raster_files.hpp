// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/sources.hpp"
#include "io/gdal/handles.hpp"
#include "io/georeference/analysis_grid.hpp"

#include <string>
#include <vector>

namespace fuelring {

/// A raster of the configuration as it was looked at: where its cells lie, and those of its tiles.
struct RasterPlace {
    RasterFiles files;
    int band = 1;
    std::string key; ///< table of the configuration, such as inputs.fuel
    SourceGrid grid;
    /// Where each of files.tiles lies in `grid`, in their order; empty where the raster is one
    /// file.
    std::vector<CellRect> tiles{};
    std::vector<bool> on_top{}; ///< of each tile, whether it covers part of an earlier one

    bool is_mosaic() const { return !tiles.empty(); }
    /// The file to be asked for what all tiles have in common.
    const std::string& first_file() const { return is_mosaic() ? files.tiles.front() : files.path; }
};

/// The same with its first file still open, to be asked for more.
struct LookedAt {
    RasterPlace place;
    DatasetPtr file;
    GDALRasterBandH band = nullptr; ///< of `file`
    std::string description{};      ///< for the log and run.json
};

/// What raster is being looked at.
struct RasterWish {
    RasterFiles files;
    int band = 1;
    std::string key;      ///< such as inputs.fuel
    std::string contents; ///< of its cells, for messages: "class codes"
    std::string crs{};    ///< only if the files have none
};

/// Opens every file, refuses what is absurd (require_sane_band), and lays tiles into one grid.
/// Tiles may overlap and leave gaps; they have one CRS, one cell size, one kind of cells, one
/// nodata value, and edges that lie on the cells of the first one (to a hundredth of a cell).
/// Throws: Error{input} naming two tiles that differ, or the file that does not do.
LookedAt look_at_raster(const RasterWish& wish);

} // namespace fuelring
