// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/grid.hpp>

#include <cstddef>
#include <cstdint>
#include <optional>

namespace fuelring {

/// Type of the cells of a raster in memory, in the byte order of the machine.
enum class CellType : std::uint8_t {
    uint8,
    int8,
    uint16,
    int16,
    uint32,
    int32,
    int64,
    float32,
    float64,
};

/// A raster of class codes, or of shares of conifers, that somebody else holds. Rows count from the
/// grid's first. Requires: `data` shows grid.rows() x grid.cols() cells that stay as they are
/// during a call.
struct RasterView {
    const void* data = nullptr; ///< the cell of column 0 and row 0
    CellType type = CellType::uint8;
    std::ptrdiff_t row_stride = 0; ///< bytes from row to row; may be below 0
    std::ptrdiff_t col_stride = 0; ///< bytes from column to column; may be below 0
    Grid grid;
    /// Cells of this value have no data, and those that are NaN.
    std::optional<double> nodata{};
    /// The value of a cell full of conifers where cells hold shares: 100 for per cent, 1 for
    /// fractions. Shares are rounded to the nearest ten-thousandth; the class table is then not
    /// looked at. 0: cells hold codes.
    double full_share = 0;
};

} // namespace fuelring
