// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/sources.hpp"
#include "io/gdal/handles.hpp"
#include "io/georeference/warp_map.hpp"
#include "io/raster/raster_files.hpp"
#include "raster/fuel_corrections.hpp"

#include <fuelring/fuel_classes.hpp>

#include <atomic>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>

namespace fuelring {

class FuelCells;
class FuelLayer;

/// Cells of a raster of shares whose value is no share, such as 255 in per cent: counted by value,
/// as far as the values are few.
struct NoShares {
    static constexpr std::size_t most_values = 1000;
    std::map<double, std::int64_t> cells_of_value; ///< of the first most_values different ones
    std::int64_t cells = 0;                        ///< all of them
    double least = 0, most = 0;                    ///< where there are any

    void add(double value);
};

/// Cells by raw code of the raster, or by share in ten-thousandths; nodata apart.
/// Over the windows that were counted, corrected or not.
struct CodeCensus {
    std::map<std::int64_t, std::int64_t> cells_of_code;
    std::int64_t nodata_cells = 0;
    NoShares no_shares{}; ///< only of a raster of shares
};

/// How a raster lies in its file: it is read and decoded block by block.
/// Sizes are in cells of the file, not of a warped grid.
struct FileBlocks {
    std::int64_t cols = 1; ///< of a block
    std::int64_t rows = 1;
    std::int64_t cell_bytes = 1; ///< decoded, with the mask where there is one
    std::int64_t raster_cols = 0;
    std::int64_t raster_rows = 0;
};

/// The fuel raster of a run, or polygons that stand for one: its georeference, and windows of class
/// indices (of share_classes where its cells hold shares). Opened once per worker (`Reader`), since
/// a GDAL dataset serves one thread. Threads: a raster may be shared; each worker has a Reader of
/// its own, which the raster outlives.
class FuelRaster {
public:
    /// Reads no cell. `classes` must outlive the raster.
    /// Throws: Error{input} naming file, band or CRS and the remedy: not a raster, band missing,
    /// no CRS (says how to give one), what plan_analysis refuses, absurd size, complex cells.
    FuelRaster(const FuelSource& source, const FuelClassTable& classes,
               const StudyArea& study = {});

    /// The grid that windows are read on: the file's own, or the one it is warped to.
    const Grid& grid() const { return plan_.analysis.grid; }
    const Crs& crs() const { return plan_.analysis.crs; }
    const AnalysisGrid& analysis() const { return plan_.analysis; }
    const AnalysisPlan& plan() const { return plan_; }
    const FuelSource& source() const { return source_; }
    /// The polygons where there is no raster; else null.
    const FuelLayer* layer() const { return layer_.get(); }
    /// What a reader opens. Requires: no layer().
    const RasterPlace& place() const { return place_; }
    const FuelClassTable& classes() const { return classes_; }
    /// "GTiff, 5000 x 4000 cells, Byte, nodata 255, blocks 512 x 512", for the log and run.json.
    const std::string& description() const { return description_; }
    const FileBlocks& blocks() const { return blocks_; }
    /// Where the cells of a warped grid stand in the file; none where it is not warped. A reader
    /// takes a copy.
    const std::optional<WarpMap>& warp() const { return warp_; }

    /// What readers put in place of what the file holds, from now on. Requires: no reader at work.
    void correct(FuelCorrections corrections) { corrections_ = std::move(corrections); }
    const FuelCorrections& corrections() const { return corrections_; }

    /// One worker's handle on the file.
    ///
    ///     FuelRaster::Reader reader{raster};
    ///     std::vector<ClassIndex> classes(static_cast<std::size_t>(rect.cols * rect.rows));
    ///     reader.read(rect, classes);
    class Reader {
    public:
        /// Throws: Error{input} when the file is no longer the one that was opened, or its cells
        /// are of a type that holds no codes.
        explicit Reader(const FuelRaster& raster);
        ~Reader();
        Reader(Reader&&) noexcept;

        /// Class indices of `rect`, row by row; cells off the raster and nodata become
        /// no_data_class; corrected cells as corrections() says. Codes that the table lacks become
        /// no_data_class too, and the raster remembers that there were some (`met_unknown_codes`).
        /// Throws: Error{input} with GDAL's reason when a block cannot be read, or when a cell of
        /// real numbers holds a fraction.
        /// Shape: `rect` is on grid(); `out` has rect.cols x rect.rows cells, else
        /// std::logic_error. Where the grid is warped, a cell has the class of the file's cell
        /// under its centre.
        void read(const CellRect& rect, std::span<ClassIndex> out);

        /// Adds the number of cells of every raw code in `rect` (on the raster, nodata apart),
        /// corrected or not.
        /// Throws as read.
        void count(const CellRect& rect, CodeCensus& census);

    private:
        const FuelRaster* raster_;
        std::unique_ptr<FuelCells> cells_;
    };

    /// True once some reader met one; for any thread.
    bool met_unknown_codes() const { return met_unknown_.load(std::memory_order_relaxed); }

private:
    struct Opened;
    static Opened opened(const FuelSource& source, const StudyArea& study);
    FuelRaster(const FuelSource& source, const FuelClassTable& classes, Opened opened);

    FuelSource source_;
    const FuelClassTable& classes_;
    std::shared_ptr<const FuelLayer> layer_; ///< null where there is a raster
    RasterPlace place_;
    AnalysisPlan plan_;
    std::string description_;
    FileBlocks blocks_;
    std::optional<WarpMap> warp_;
    FuelCorrections corrections_;
    mutable std::atomic<bool> met_unknown_ = false;
};

} // namespace fuelring
