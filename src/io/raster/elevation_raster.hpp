// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/sources.hpp"
#include "io/georeference/analysis_grid.hpp"
#include "io/georeference/layer_crs.hpp"
#include "io/raster/height_unit.hpp"

#include <fuelring/slope.hpp>

#include <memory>
#include <mutex>
#include <optional>
#include <string>

namespace fuelring {

/// Heights beyond these are no ground of this earth: they count as not known.
inline constexpr double lowest_ground_m = -1000;
inline constexpr double highest_ground_m = 10'000;

/// The elevation raster of a run, in its own CRS: it is never warped, its cells are looked up
/// where they stand. Opened once per worker (`Reader`), since a GDAL dataset serves one thread.
class ElevationRaster {
public:
    /// Reads no cell. Throws: Error{input} naming file, band or CRS and the remedy: not a raster,
    /// band missing, no CRS, no georeference, absurd size, complex cells, a scale that is none.
    ElevationRaster(const ElevationSource& source, const AnalysisGrid& analysis);

    const std::string& path() const { return source_.path; }
    const std::string& description() const { return description_; } ///< as FuelRaster's
    const LayerCrs& layer_crs() const { return layer_crs_; }
    const HeightUnitFound& unit() const { return unit_; }
    CellRect extent() const { return {0, 0, grid_.cols, grid_.rows}; }

    /// One worker's handle on the file.
    class Reader {
    public:
        explicit Reader(const ElevationRaster& raster);
        ~Reader();
        Reader(Reader&&) noexcept;

        /// The cells near a place in a structure's frame. Where the raster has another CRS, as if
        /// the map between both were straight: within `half_m` of the place centres are then off by
        /// half_m^2 tan(latitude) / (2 x earth's radius), 0.3 mm at 60 m and 50 degrees, and much
        /// the same to all sides, so that slopes are not. `ground` is the grid at the scale of the
        /// structure, `frame` its frame. Empty where PROJ knows no way.
        std::optional<HeightLattice> lattice_at(const Grid& ground, const CellFrame& frame,
                                                Point place, double half_m) const;
        /// Heights of the part of `rect` that lies on the raster; good until the next call.
        /// Throws: Error{input} with GDAL's reason when a block cannot be read.
        const HeightWindow& read(const CellRect& rect);
        /// True where a cell that was read since the last call holds a height beyond the bounds.
        bool met_impossible();

    private:
        struct Impl;
        std::unique_ptr<Impl> impl_;
    };

private:
    ElevationSource source_;
    SourceGrid grid_;
    bool same_crs_ = false;
    std::optional<Reprojection> from_analysis_; ///< set once; copied by each reader
    HeightUnitFound unit_;
    std::string description_;
    LayerCrs layer_crs_;
    double scale_ = 1;  ///< of the band, in its unit
    double offset_ = 0; ///< the same
    /// Readers are made by several threads, and GDAL's CRS objects change when they are looked at.
    mutable std::mutex making_readers_;
};

} // namespace fuelring
