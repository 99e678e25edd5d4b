// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/export.hpp>
#include <fuelring/footprint.hpp>

#include <array>
#include <cstdint>

namespace fuelring {

/// A rectangle of cells, half open: columns [col, col + cols), rows [row, row + rows).
/// May reach outside the raster; rows count downwards from the raster's first row.
struct FUELRING_EXPORT CellRect {
    std::int64_t col = 0;
    std::int64_t row = 0;
    std::int64_t cols = 0;
    std::int64_t rows = 0;

    /// True where columns and rows and their ends count less than 2^53 either way.
    bool is_countable() const;
    bool empty() const { return cols <= 0 || rows <= 0; }
    friend bool operator==(const CellRect&, const CellRect&) = default;
};

/// The cells two rectangles share; cols or rows is 0 where they share none.
/// These three throw: std::invalid_argument for what is not countable (see is_countable).
FUELRING_EXPORT CellRect intersection(const CellRect& a, const CellRect& b);
/// The smallest rectangle that holds both; an empty one counts for nothing.
FUELRING_EXPORT CellRect hull(const CellRect& a, const CellRect& b);
/// The rectangle with so many cells more on every side.
FUELRING_EXPORT CellRect widened(const CellRect& rect, std::int64_t cells);

/// A structure's local frame: metres of the ground, axes along the grid's columns (x, to the right)
/// and against its rows (y, up), origin at the upper left corner of cell (col, row). On a grid that
/// runs south up it is a mirror image of the map. In it every cell is the axis-parallel rectangle
/// cell_width_m x cell_height_m.
struct CellFrame {
    std::int64_t col = 0;
    std::int64_t row = 0;
};

/// How long a metre of ground is on the map at one place: units of the CRS along a row of cells (x)
/// and across the rows (y). Equal on conformal projections: what keeps all angles turns and scales.
/// Web Mercator keeps them on a sphere; the ellipsoid has two radii of curvature at a place.
struct LocalScale {
    double x = 1;
    double y = 1;

    LocalScale() = default;
    LocalScale(double along_rows, double across_rows) : x(along_rows), y(across_rows) {}
    LocalScale(double in_all_directions) : x(in_all_directions), y(in_all_directions) {}
    double areal() const { return x * y; }
    friend bool operator==(const LocalScale&, const LocalScale&) = default;
};

/// Georeference of a raster: which ground each cell covers, in the analysis CRS (metres).
/// Local frames and cell sizes are in units of the CRS unless `at_scale` says otherwise.
/// Grids may be rotated or mirrored, not sheared: columns and rows stand at right angles.
class FUELRING_EXPORT Grid {
public:
    /// `geotransform`: GDAL's six numbers, x = g0 + g1 col + g2 row, y = g3 + g4 col + g5 row.
    /// Throws: Error{input} when a number is not finite, the determinant is 0, a side of a cell is
    /// below 1e-9 or above 1e9 units, the axes are not at right angles within 1e-9, or there are no
    /// cells, or more than 2^31 - 1 columns or rows.
    Grid(const std::array<double, 6>& geotransform, std::int64_t cols, std::int64_t rows);

    /// The same cells seen at a place of that map scale: local frames, cell sizes and areas are
    /// then in metres of the ground. Law: at_scale(1) changes no bit.
    /// Throws: std::invalid_argument for a scale that is not above 0, or that gives a cell a side
    /// below 1e-9 or above 1e9 m.
    Grid at_scale(LocalScale map_scale) const;

    std::int64_t cols() const { return cols_; }
    std::int64_t rows() const { return rows_; }
    const std::array<double, 6>& geotransform() const { return g_; }
    double cell_width_m() const { return width_m_; }
    double cell_height_m() const { return height_m_; }
    double cell_area_m2() const { return width_m_ * height_m_; }
    CellRect extent() const { return {0, 0, cols_, rows_}; }

    /// Unit vectors of the local axes, in the analysis CRS.
    Point along_cols() const { return along_cols_; }
    Point against_rows() const { return against_rows_; }

    /// Upper left corner of a cell, in the analysis CRS.
    Point corner(std::int64_t col, std::int64_t row) const;
    /// Column and row as real numbers (x is the column, y the row downwards) of a map point.
    Point cell_of(Point map) const;
    /// The frame whose origin is the corner of the cell that holds `map`.
    /// Throws: std::invalid_argument where `map` is not finite, or 2^52 cells off or more.
    CellFrame frame_at(Point map) const;
    /// Map point to local metres. Exact where the subtraction from the cell's corner is exact
    /// and the grid runs north up: moving grid and point together then changes no bit.
    Point to_local(const CellFrame& frame, Point map) const;
    Point to_map(const CellFrame& frame, Point local) const;
    /// The same of a vector, which has no place.
    Point vector_to_local(Point map) const;
    /// Smallest rectangle of whole cells that holds a box of local metres.
    /// Throws: std::invalid_argument where the box is not finite (that of an empty footprint is
    /// not), or 2^52 cells off or more.
    CellRect cells_of(const CellFrame& frame, const Box& local) const;

private:
    std::array<double, 6> g_;
    std::int64_t cols_;
    std::int64_t rows_;
    double width_m_;
    double height_m_;
    Point along_cols_;     ///< unit vector of the local x axis, in the analysis CRS
    Point against_rows_;   ///< unit vector of the local y axis
    LocalScale map_scale_; ///< units of the CRS per metre of a local frame
};

} // namespace fuelring
