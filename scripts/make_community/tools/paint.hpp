// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "community.hpp"

#include <cstdint>
#include <vector>

namespace community {

/// A window of the fuel raster: row 0 is its north edge.
struct Canvas {
    double west, north; ///< metres from the community's corner
    double cell_m;
    int cols, rows;
    std::vector<std::uint8_t> codes;

    Canvas(double west_m, double north_m, double cell, int col_count, int row_count)
        : west(west_m), north(north_m), cell_m(cell), cols(col_count), rows(row_count),
          codes(static_cast<std::size_t>(col_count) * static_cast<std::size_t>(row_count))
    {}
    Box box() const { return {west, north - cell_m * rows, west + cell_m * cols, north}; }
    Point center(int row, int col) const
    {
        return {west + (col + 0.5) * cell_m, north - (row + 0.5) * cell_m};
    }
    std::uint8_t& at(int row, int col)
    {
        return codes[static_cast<std::size_t>(row) * static_cast<std::size_t>(cols) +
                     static_cast<std::size_t>(col)];
    }
};

enum class Epoch { now, later };

/// Paints what is there at `epoch`, layer by layer, cells by their centres.
void paint_all(const std::vector<Paint>& paints, Epoch epoch, Canvas& canvas);

Box box_of(const Paint& paint);

} // namespace community
