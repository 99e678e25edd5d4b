// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "imagery/planes.hpp"
#include "io/imagery/image_source.hpp"
#include "io/raster/band_reader.hpp"
#include "io/raster/raster_files.hpp"

#include <cmath>
#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace fuelring {

/// An image as it was looked at. Threads: may be shared; each worker has a Reader of its own.
class ImageRaster {
public:
    /// Reads no cell. Throws: Error{input} naming the image: as look_at_raster; as many bands as
    /// roles are needed.
    explicit ImageRaster(const ImageSource& source);

    const ImageSource& source() const { return source_; }
    const SourceGrid& grid() const { return places_.front().grid; }
    const std::string& description() const { return description_; }
    /// Length of a cell's side on the map, in units of the CRS.
    double cell_size() const;
    /// Boxes of its tiles, or of the whole, in its own CRS.
    std::vector<Box> boxes() const;

    /// One worker's handle on the files, which reads onto another grid.
    ///
    /// A cell of the grid gets the mean of the image's cells whose centres it holds where these are
    /// smaller (by half or more), the image's cell under its centre where sizes are much the same,
    /// and a value between the four nearest where the image's cells are larger.
    /// Law: what a cell gets depends on the cell alone, not on the window.
    class Reader {
    public:
        /// `raster` and `target` must outlive the reader.
        /// Throws: Error{input} where PROJ knows no way, or a file is no longer what it was.
        Reader(const ImageRaster& raster, const AnalysisGrid& target);

        /// Makes a plane of each band: cells of `rect` of the target grid, row by row.
        /// Heights are in metres; NaN is nodata, hidden by a mask, or off the image.
        /// `rect` may reach beyond the target grid. Shape: `into` has as many planes as the image
        /// has bands; what they held before is gone.
        void read(const CellRect& rect, std::span<Plane> into);

    private:
        struct Band {
            std::unique_ptr<BandReader> cells;
            std::optional<BandReader> mask;
            float nodata;
            float scale, offset;
        };
        static constexpr double far_off = 1e9; ///< columns or rows: nowhere
        static std::int64_t whole(double value)
        {
            return static_cast<std::int64_t>(std::floor(value));
        }
        void open_bands();
        void open_band(GDALRasterBandH band, const BandRole& role, Band& into) const;
        /// Places of cell centres in columns and rows of the image; NaN where there are none.
        void place(const CellRect& rect);
        /// Image cells that a range of placed cells looks at.
        CellRect window_of(std::size_t first, std::size_t last) const;
        CellRect window_around(const Box& places) const;
        /// Of grids whose columns and rows run along those of the image: columns depend on columns
        /// alone, and rows on rows. The same values as by place(), bit for bit.
        bool is_upright() const;
        void place_axes(const CellRect& rect);
        CellRect window_of_axes(std::size_t first_row, std::size_t last_row) const;
        void fill_by_axes(const CellRect& window, std::size_t first_row, std::size_t last_row,
                          Plane& into) const;
        Point image_place(double col, double row) const;
        bool load(Band& band, const CellRect& window);
        float value_at(const CellRect& window, Point at) const;
        float mean_in(const CellRect& window, Point at) const;
        float between(const CellRect& window, Point at) const;
        float cell_at(const CellRect& window, std::int64_t col, std::int64_t row) const;

        const ImageRaster* raster_;
        const AnalysisGrid* target_;
        std::optional<Reprojection> way_; ///< from the target's CRS; none where it is the image's
        DatasetPtr file_;                 ///< of an image in one file
        std::vector<std::unique_ptr<OpenBand>> open_; ///< by band, of one in tiles
        std::vector<Band> bands_;
        Point step_{1, 1}; ///< image cells along a target cell's width and height
        std::vector<Point> places_;
        std::vector<Point> nodes_;
        std::vector<double> xs_, ys_; ///< in columns and rows of the image, by column and row
        std::vector<float> cells_;
        std::vector<std::uint8_t> visible_;
    };

private:
    ImageSource source_;
    std::vector<RasterPlace> places_; ///< by band
    std::string description_;
};

} // namespace fuelring
