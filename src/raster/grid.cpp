// SPDX-License-Identifier: Apache-2.0
#include "geometry/require.hpp"

#include <fuelring/error.hpp>
#include <fuelring/grid.hpp>

#include <Eigen/Core>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <limits>

// Cells are rectangles, so a local frame with axes along them needs no shear: map vectors are
// turned by the two unit vectors along columns and against rows, and divided by the map's scale
// there. The inverse of that turn is its transpose, which loses no digits.
namespace fuelring {

namespace {

/// Cosine of the angle between columns and rows above which a grid counts as sheared.
constexpr double right_angle_tolerance = 1e-9;

/// Sides of cells, in units of the CRS or metres: beyond these arithmetic in cells would overflow.
constexpr double shortest_side = 1e-9;
constexpr double longest_side = farthest_local_m;

bool is_side(double side)
{
    return side >= shortest_side && side <= longest_side;
}

/// Cells are counted by whole numbers that a double holds exactly.
constexpr std::int64_t most_counted = std::int64_t{1} << 53;

std::int64_t whole_cell(double cell, const char* what)
{
    require(std::abs(cell) < 0x1p52, what); // false for NaN, too
    return static_cast<std::int64_t>(cell);
}

Error bad_georeference(const char* what)
{
    return {Failure::input, what, "georeference of the raster",
            "look at the geotransform with gdalinfo, or warp the raster with gdalwarp"};
}

} // namespace

bool CellRect::is_countable() const
{
    const auto counts = [](std::int64_t first, std::int64_t count) {
        return first > -most_counted && first < most_counted && count > -most_counted &&
               count < most_counted && first + count > -most_counted &&
               first + count < most_counted;
    };
    return counts(col, cols) && counts(row, rows);
}

CellRect intersection(const CellRect& a, const CellRect& b)
{
    require(a.is_countable() && b.is_countable(), "intersection: a cell is too far off");
    const std::int64_t col = std::max(a.col, b.col);
    const std::int64_t row = std::max(a.row, b.row);
    const std::int64_t right = std::min(a.col + a.cols, b.col + b.cols);
    const std::int64_t bottom = std::min(a.row + a.rows, b.row + b.rows);
    return {col, row, std::max<std::int64_t>(right - col, 0),
            std::max<std::int64_t>(bottom - row, 0)};
}

CellRect hull(const CellRect& a, const CellRect& b)
{
    require(a.is_countable() && b.is_countable(), "hull: a cell is too far off");
    if (a.empty())
        return b;
    if (b.empty())
        return a;
    const std::int64_t col = std::min(a.col, b.col);
    const std::int64_t row = std::min(a.row, b.row);
    return {col, row, std::max(a.col + a.cols, b.col + b.cols) - col,
            std::max(a.row + a.rows, b.row + b.rows) - row};
}

CellRect widened(const CellRect& rect, std::int64_t cells)
{
    require(rect.is_countable() && cells > -most_counted && cells < most_counted,
            "widened: a cell is too far off");
    return {rect.col - cells, rect.row - cells, rect.cols + 2 * cells, rect.rows + 2 * cells};
}

Grid::Grid(const std::array<double, 6>& geotransform, std::int64_t cols, std::int64_t rows)
    : g_(geotransform), cols_(cols), rows_(rows)
{
    if (!std::all_of(g_.begin(), g_.end(), [](double v) { return std::isfinite(v); }))
        throw bad_georeference("a number of the geotransform is not finite");
    if (cols <= 0 || rows <= 0)
        throw bad_georeference("the raster has no cells");
    constexpr std::int64_t most_cols = std::numeric_limits<std::int32_t>::max();
    if (cols > most_cols || rows > most_cols)
        throw bad_georeference("the raster has more than 2^31 - 1 columns or rows");
    Eigen::Matrix2d axes; // columns: the step to the next column, the step to the next row
    axes << g_[1], g_[2], g_[4], g_[5];
    width_m_ = axes.col(0).norm();
    height_m_ = axes.col(1).norm();
    if (!(width_m_ > 0) || !(height_m_ > 0) || axes.determinant() == 0)
        throw bad_georeference("cells without area");
    if (!is_side(width_m_) || !is_side(height_m_))
        throw bad_georeference("a cell has a side below 1e-9 or above 1e9 units");
    // dot / (|a| |b|) is the cosine between columns and rows.
    if (std::abs(axes.col(0).dot(axes.col(1))) > right_angle_tolerance * width_m_ * height_m_)
        throw bad_georeference("columns and rows are not at right angles (sheared grid)");
    // Rows count downwards, y of a local frame upwards: its unit vector runs against the rows.
    along_cols_ = {g_[1] / width_m_, g_[4] / width_m_};
    against_rows_ = {-g_[2] / height_m_, -g_[5] / height_m_};
}

Grid Grid::at_scale(LocalScale map_scale) const
{
    Grid result = *this;
    result.map_scale_ = map_scale;
    result.width_m_ = width_m_ * (map_scale_.x / map_scale.x);
    result.height_m_ = height_m_ * (map_scale_.y / map_scale.y);
    require(is_side(result.width_m_) && is_side(result.height_m_),
            "Grid::at_scale: a scale is above 0 and leaves cells sides of 1e-9 to 1e9 m");
    return result;
}

Point Grid::corner(std::int64_t col, std::int64_t row) const
{
    const auto c = static_cast<double>(col);
    const auto r = static_cast<double>(row);
    return {g_[0] + g_[1] * c + g_[2] * r, g_[3] + g_[4] * c + g_[5] * r};
}

Point Grid::cell_of(Point map) const
{
    const Point d = map - Point{g_[0], g_[3]};
    return {dot(d, along_cols_) / (width_m_ * map_scale_.x),
            -dot(d, against_rows_) / (height_m_ * map_scale_.y)};
}

CellFrame Grid::frame_at(Point map) const
{
    const Point cell = cell_of(map);
    constexpr const char* too_far = "Grid::frame_at: the place is not finite or too far off";
    return {whole_cell(std::floor(cell.x), too_far), whole_cell(std::floor(cell.y), too_far)};
}

// From the nearby corner of the frame's cell: differences of large coordinates lose no digits that
// the coordinates had.
Point Grid::to_local(const CellFrame& frame, Point map) const
{
    return vector_to_local(map - corner(frame.col, frame.row));
}

Point Grid::vector_to_local(Point map) const
{
    return {dot(map, along_cols_) / map_scale_.x, dot(map, against_rows_) / map_scale_.y};
}

Point Grid::to_map(const CellFrame& frame, Point local) const
{
    return corner(frame.col, frame.row) + (local.x * map_scale_.x) * along_cols_ +
           (local.y * map_scale_.y) * against_rows_;
}

CellRect Grid::cells_of(const CellFrame& frame, const Box& local) const
{
    constexpr const char* too_far = "Grid::cells_of: the box is not finite or too far off";
    require(std::abs(static_cast<double>(frame.col)) < 0x1p52 &&
                std::abs(static_cast<double>(frame.row)) < 0x1p52,
            too_far);
    const auto left = whole_cell(std::floor(local.min.x / width_m_), too_far);
    const auto right = whole_cell(std::ceil(local.max.x / width_m_), too_far);
    const auto top = whole_cell(std::floor(-local.max.y / height_m_), too_far);
    const auto bottom = whole_cell(std::ceil(-local.min.y / height_m_), too_far);
    return {frame.col + left, frame.row + top, right - left, bottom - top};
}

} // namespace fuelring
