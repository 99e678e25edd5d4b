// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/slope.hpp>

#include <cstdint>
#include <span>
#include <vector>

namespace fuelring {

/// Which cells of a lattice have their centre within a distance of a footprint and not on it;
/// a courtyard is not on it. Asked row by row.
///
/// Law: the cells of rows asked in any order and cut anywhere are the same. A centre on the very
/// limit may fall either way, by rounding.
class CellsAround {
public:
    /// Requires: a footprint that keeps its law, a lattice that is valid.
    CellsAround(const Footprint& footprint, const HeightLattice& lattice, double within_m);

    /// Sets chosen[k] to 1 or 0 for the cell (first_col + k, row), rows and columns of the raster.
    void choose(std::int64_t row, std::int64_t first_col, std::span<std::uint8_t> chosen);

private:
    struct Edge {
        Point from; ///< x along the rows of the lattice, y across them, metres from its origin
        Point to;
        Point out; ///< within_m at right angles to the edge
    };
    /// Sets the cells whose centres stand between two places of the row.
    void fill(std::span<std::uint8_t> chosen, double from_x, double to_x, std::uint8_t value) const;
    void add_disc(std::span<std::uint8_t> chosen, Point centre, double y) const;
    void add_strip(std::span<std::uint8_t> chosen, const Edge& edge, double y) const;
    void take_roof_off(std::span<std::uint8_t> chosen, double y);

    std::vector<Edge> edges_;
    CellFrame at_;
    double within_m_;
    double width_m_;            ///< from one centre of a row to the next
    Point row_step_;            ///< in the same frame as the edges
    double first_x_ = 0;        ///< where the first cell of the row that is asked for stands
    std::vector<double> walls_; ///< where the row passes walls
};

} // namespace fuelring
