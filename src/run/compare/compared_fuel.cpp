// SPDX-License-Identifier: Apache-2.0

// Grids in one system with parallel axes are compared line by line. Of others the corners of
// BEFORE's cells go through PROJ into AFTER's system, and the quadrilaterals between them are cut
// by AFTER's cells. A corner comes out the same whichever structure asks, so neighbours agree.

#include "run/compare/compared_fuel.hpp"

#include <fuelring/error.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace fuelring {

namespace {

/// Cells beyond the outermost line: a straight line of one system is bent in the other.
constexpr std::int64_t margin_cells = 2;

[[noreturn]] void no_place()
{
    throw Error{Failure::input,
                "a cell of one run has no place in the system of the other",
                {},
                "bring both fuel rasters into one system and run fuelring map again"};
}

} // namespace

ComparedFuel::ComparedFuel(const BeforeGrid& before, const AnalysisGrid& after,
                           const std::string& after_fuel)
    : relation_(before.relation), grid_(after.grid), before_(before.fuel), after_(after_fuel),
      to_after_(before_.crs(), after.crs, after.area), to_before_(to_after_.inverse())
{}

CellRect ComparedFuel::cells_about(const CellRect& rect) const
{
    // The image of a rectangle is bounded by the image of its border: corners inside need not be
    // asked.
    std::vector<Point> border;
    for (std::int64_t col = rect.col; col <= rect.col + rect.cols; ++col)
        for (const std::int64_t row : {rect.row, rect.row + rect.rows})
            border.push_back(grid_.corner(col, row));
    for (std::int64_t row = rect.row; row <= rect.row + rect.rows; ++row)
        for (const std::int64_t col : {rect.col, rect.col + rect.cols})
            border.push_back(grid_.corner(col, row));
    if (!to_before_.apply(std::span{border}))
        no_place();
    constexpr double far = std::numeric_limits<double>::infinity();
    Box cells{{far, far}, {-far, -far}};
    for (const Point map : border) {
        const Point p = before_.grid().cell_of(map);
        cells = {{std::min(cells.min.x, p.x), std::min(cells.min.y, p.y)},
                 {std::max(cells.max.x, p.x), std::max(cells.max.y, p.y)}};
    }
    const auto low = [](double v) {
        return static_cast<std::int64_t>(std::floor(v)) - margin_cells;
    };
    const auto high = [](double v) {
        return static_cast<std::int64_t>(std::ceil(v)) + margin_cells;
    };
    return {low(cells.min.x), low(cells.min.y), high(cells.max.x) - low(cells.min.x),
            high(cells.max.y) - low(cells.min.y)};
}

ComparedFuel::Foreign ComparedFuel::foreign(const CellRect& rect)
{
    const CellRect other = cells_about(rect);
    ForeignCells cells{other.cols, {}, {}};
    std::vector<Point>& corners = cells.corners;
    corners.reserve(static_cast<std::size_t>((other.cols + 1) * (other.rows + 1)));
    for (std::int64_t row = other.row; row <= other.row + other.rows; ++row)
        for (std::int64_t col = other.col; col <= other.col + other.cols; ++col)
            corners.push_back(before_.grid().corner(col, row));
    if (!to_after_.apply(std::span{corners}))
        no_place();
    for (Point& p : corners)
        p = grid_.cell_of(p);
    FuelPatch fuel = before_.read(other);
    cells.share = fuel.share;
    return {std::move(fuel), CellParts{rect, cells}};
}

FuelOverlay ComparedFuel::overlay(const CellRect& rect, const CellFrame& frame, bool with_classes)
{
    const FuelPatch after = after_.read(rect);
    std::optional<CellChanges> classes;
    if (relation_) {
        const FuelPatch before = before_.read(cells_under(rect, *relation_));
        if (with_classes)
            classes = cell_changes(before, after, *relation_);
        return {before, after, *relation_, frame, classes ? &*classes : nullptr};
    }
    const Foreign before = foreign(rect);
    if (with_classes)
        classes = cell_changes(before.fuel, after, before.parts);
    return {before.fuel, after, before.parts, frame, classes ? &*classes : nullptr};
}

CellChanges ComparedFuel::changes(const CellRect& rect)
{
    const FuelPatch after = after_.read(rect);
    if (relation_)
        return cell_changes(before_.read(cells_under(rect, *relation_)), after, *relation_);
    const Foreign before = foreign(rect);
    return cell_changes(before.fuel, after, before.parts);
}

} // namespace fuelring
