// SPDX-License-Identifier: Apache-2.0
#include "coverage/scatter.hpp"
#include "geometry/require.hpp"

#include <fuelring/error.hpp>
#include <fuelring/surface.hpp>

#include <algorithm>
#include <cstdint>
#include <cstdlib>
#include <numeric>
#include <stdexcept>
#include <string>

namespace fuelring {

using coverage::Int128;

namespace {

constexpr Int128 unit_weight = Int128{1} << coverage::fixed_places;

/// Cells beside an outline's box into which its rounding may fall.
constexpr std::int64_t margin_cells = 2;

/// Cells are counted by 32 bits from the frame; what a cell gets, in fixed point, by 127.
constexpr std::int64_t most_cells_off = std::int64_t{1} << 30;
constexpr double most_cell_points = 0x1p80;

void require_points(const RingOutlines& outlines, const Grid& grid, std::span<const double> points)
{
    require(!outlines.within.empty() && points.size() == outlines.within.size() - 1,
            "SurfaceTile::add: as many outlines as points, and that of the footprint");
    for (const double p : points)
        require(p >= 0 && p * grid.cell_area_m2() < most_cell_points,
                "SurfaceTile::add: points of a ring are negative, not finite or too many");
}

/// Requires: cells that share some.
void require_near(const CellRect& cells, const CellFrame& frame)
{
    const auto near = [](std::int64_t first, std::int64_t count, std::int64_t origin) {
        return std::abs(first - origin) < most_cells_off &&
               std::abs(first + count - origin) < most_cells_off;
    };
    require(near(cells.col, cells.cols, frame.col) && near(cells.row, cells.rows, frame.row),
            "SurfaceTile::add: more than 2^30 cells from the frame");
}

} // namespace

void SurfaceTile::begin(const CellRect& rect)
{
    require(!rect.empty() && rect.is_countable() && rect.cols < most_cells_off &&
                rect.rows < most_cells_off,
            "SurfaceTile::begin: the rectangle has no cells, or is too large");
    const auto cells = static_cast<std::size_t>(rect.rows * rect.cols);
    value_.assign(cells, 0);
    under_roof_.assign(cells, 0);
    ring_.clear();
    bounds_.clear();
    rect_ = rect;
    touched_ = {};
    open_ = true;
}

void SurfaceTile::add(const RingOutlines& outlines, const CellFrame& frame, const Grid& grid,
                      std::span<const double> points)
{
    require_open("SurfaceTile::add: before begin or after finish");
    require_points(outlines, grid, points);
    const Outline& widest = outlines.within.back();
    const CellRect reached = widened(grid.cells_of(frame, bounds(widest)), margin_cells);
    const CellRect cells = intersection(reached, rect_);
    if (cells.empty())
        return;
    for (const Outline& outline : outlines.within)
        require_valid(outline);
    require_near(reached, frame);
    require_near(rect_, frame);
    touched_ = hull(touched_, cells);
    // Ring weights are rounded once; an outline carries the difference of the ring inside it and
    // the ring outside it, so within the footprint the weights cancel to exactly zero.
    Int128 inner = 0;
    double most = 0;
    bool some_ring_without_weight = false;
    for (std::size_t k = 0; k < outlines.within.size(); ++k) {
        Int128 outer = 0;
        if (k < points.size()) { // but for the widest
            const double cell_points = points[k] * grid.cell_area_m2();
            outer = coverage::to_fixed(cell_points);
            most += cell_points;
            some_ring_without_weight |= outer == 0;
        }
        coverage::scatter(outlines.within[k], frame, grid, inner - outer, rect_, value_);
        inner = outer;
    }
    if (some_ring_without_weight) {
        ring_.resize(value_.size());
        coverage::scatter(widest, frame, grid, unit_weight, rect_, ring_);
        coverage::scatter(outlines.within.front(), frame, grid, -unit_weight, rect_, ring_);
    }
    mark_roof(outlines.within.front(), frame, grid);
    bounds_.push_back({cells, std::clamp(most, 1.0, 100.0)});
}

void SurfaceTile::mark_roof(const Outline& roof, const CellFrame& frame, const Grid& grid)
{
    const CellRect cells =
        intersection(widened(grid.cells_of(frame, bounds(roof)), margin_cells), rect_);
    if (cells.empty())
        return;
    roof_.assign(static_cast<std::size_t>(cells.rows * cells.cols), 0);
    coverage::scatter(roof, frame, grid, unit_weight, cells, roof_);
    const std::uint64_t* cell = roof_.data();
    for (std::int64_t row = cells.row; row < cells.row + cells.rows; ++row) {
        std::uint8_t* mark = &under_roof_[at(row, cells.col)];
        std::uint64_t sum = 0;
        for (std::int64_t col = 0; col < cells.cols; ++col)
            if (holds_something(sum += *cell++))
                mark[col] = 1;
    }
}

void SurfaceTile::require_open(const char* what) const
{
    if (!open_)
        throw std::logic_error{what};
}

void SurfaceTile::refuse(std::int64_t row, std::int64_t col) const
{
    throw std::out_of_range{"SurfaceTile: row " + std::to_string(row) + ", column " +
                            std::to_string(col) + " lies outside the rectangle"};
}

void SurfaceTile::finish()
{
    require_open("SurfaceTile::finish: before begin or a second time");
    open_ = false;
    require_range();
    running_sums(value_);
    if (!ring_.empty())
        running_sums(ring_);
}

void SurfaceTile::running_sums(Plane& plane) const
{
    for (std::int64_t row = touched_.row; row < touched_.row + touched_.rows; ++row) {
        std::uint64_t* cell = &plane[at(row, touched_.col)];
        std::partial_sum(cell, cell + touched_.cols, cell);
    }
}

void SurfaceTile::require_range() const
{
    const double all = std::accumulate(bounds_.begin(), bounds_.end(), 0.0,
                                       [](double sum, const Bound& b) { return sum + b.points; });
    if (all < most_points)
        return;
    // Rare: so many structures on one rectangle that the cells have to be looked at one by one.
    std::vector<double> most(static_cast<std::size_t>(rect_.cols) + 1);
    for (std::int64_t row = rect_.row; row < rect_.row + rect_.rows; ++row) {
        std::fill(most.begin(), most.end(), 0.0);
        for (const Bound& b : bounds_)
            if (row >= b.cells.row && row < b.cells.row + b.cells.rows) {
                most[static_cast<std::size_t>(b.cells.col - rect_.col)] += b.points;
                most[static_cast<std::size_t>(b.cells.col + b.cells.cols - rect_.col)] -= b.points;
            }
        double here = 0;
        for (const double change : most)
            if ((here += change) >= most_points)
                throw Error{Failure::input,
                            "more structures around one cell than the surface can sum",
                            "row " + std::to_string(row) + " of the fuel raster",
                            "use a fuel raster with smaller cells or drop repeated structures"};
    }
}

} // namespace fuelring
