// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/sources.hpp"
#include "io/georeference/analysis_grid.hpp"
#include "io/georeference/layer_crs.hpp"
#include "io/raster/band_reader.hpp"
#include "io/raster/height_unit.hpp"

#include <fuelring/slope.hpp>

#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace fuelring {

/// Heights beyond these are no ground of this earth: they count as not known.
/// The lowest dry land, at the Dead Sea, is at about -430 m, the highest summit at 8849 m.
inline constexpr double lowest_ground_m = -1000;
inline constexpr double highest_ground_m = 10'000;

/// The elevation raster of a run, in its own CRS: it is never warped, its cells are looked up
/// where they stand. Opened once per worker (`Reader`), since a GDAL dataset serves one thread.
/// Law: a height is cell * scale + offset of the band, times the metres of its unit.
/// Threads: a raster may be shared; each worker has a Reader of its own, which the raster outlives.
class ElevationRaster {
public:
    /// Reads no cell. Throws: Error{input} naming file, band or CRS and the remedy: not a raster,
    /// band missing, no CRS, no georeference, absurd size, complex cells, a scale that is none.
    ElevationRaster(const ElevationSource& source, const AnalysisGrid& analysis);

    const std::string& path() const { return source_.path; }
    const std::string& description() const { return description_; } ///< as FuelRaster's
    const LayerCrs& layer_crs() const { return layer_crs_; }
    const HeightUnitFound& unit() const { return unit_; }
    CellRect extent() const { return {0, 0, place_.grid.cols, place_.grid.rows}; }

    /// One worker's handle on the file.
    ///
    ///     ElevationRaster::Reader reader{raster};
    ///     if (const auto lattice = reader.lattice_at(ground, frame, place, half_m))
    ///         take(*lattice, reader.read({lattice->at.col - 9, lattice->at.row - 9, 19, 19}));
    class Reader {
    public:
        /// Throws: Error{input} when the file is no longer the one that was opened.
        explicit Reader(const ElevationRaster& raster);

        /// The cells near a place in a structure's frame. Where the raster has another CRS, as if
        /// the map between both were straight: within `half_m` of the place centres are then off by
        /// half_m^2 tan(latitude) / (2 x earth's radius), 0.3 mm at 60 m and 50 degrees, and much
        /// the same to all sides, so that slopes are not. `ground` is the grid at the scale of the
        /// structure, `frame` its frame. Empty where PROJ knows no way.
        /// Units: `place` and `half_m` in metres of the ground; steps of the lattice in metres per
        /// cell. Law: a function of its arguments and the georeferences alone, not of what was read
        /// before.
        std::optional<HeightLattice> lattice_at(const Grid& ground, const CellFrame& frame,
                                                Point place, double half_m) const;
        /// Heights of the part of `rect` that lies on the raster; good until the next call.
        /// Throws: Error{input} with GDAL's reason when a block cannot be read.
        /// Unit: metres; NaN where no height is known: nodata, hidden by a mask, left out of the
        /// file, not finite, beyond the bounds. Shape: the part of `rect` on the raster, row by
        /// row, which may be empty.
        const HeightWindow& read(const CellRect& rect);
        /// True where a cell that was read since the last call holds a height beyond the bounds.
        bool met_impossible() { return std::exchange(impossible_, false); }

    private:
        /// Column and row of a map point, whole numbers at the centres of cells; false off the map.
        bool to_cells(Point& p) const;
        /// Columns and rows along `half` on both sides of a place, per metre.
        std::optional<Point> cells_per_metre(const Grid& ground, const CellFrame& frame,
                                             Point place, Point half) const;
        /// In metres, or NaN; notes a height beyond the bounds.
        double height_of(double cell);
        /// GDAL_DATA_COVERAGE_STATUS_... of cells: whether the file has them.
        int coverage_of(const CellRect& rect) const;
        /// Set heights of window_ to NaN: where the mask is 0; in blocks that the file leaves out;
        /// in one part of the window.
        void hide_masked();
        void hide_missing_blocks();
        void hide(const CellRect& part);

        const ElevationRaster* raster_;
        OpenBand open_;
        Reprojection to_elevation_;
        double nodata_;      ///< NaN where there is none
        bool may_be_sparse_; ///< GDAL reads what is left out as 0
        bool impossible_ = false;
        HeightWindow window_;
        std::vector<std::uint8_t> visible_;
    };

private:
    ElevationSource source_;
    RasterPlace place_;
    bool same_crs_ = false;
    std::optional<Reprojection> from_analysis_; ///< set once; copied by each reader
    HeightUnitFound unit_;
    std::string description_;
    LayerCrs layer_crs_;
    double scale_m_ = 1; ///< a cell is a height of cell * scale_m_ + offset_m_
    double offset_m_ = 0;
};

} // namespace fuelring
