// SPDX-License-Identifier: Apache-2.0
#include "coverage/scatter.hpp"
#include "geometry/require.hpp"

#include <fuelring/error.hpp>
#include <fuelring/surface.hpp>

#include <algorithm>
#include <cstdint>
#include <cstdlib>
#include <memory>
#include <numeric>
#include <stdexcept>
#include <string>
#include <vector>

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

struct SurfaceTile::Planes {
    using Plane = std::vector<std::uint64_t>;
    /// Bound on what one structure adds to a cell, and which cells it may reach.
    struct Bound {
        CellRect cells;
        double points;
    };

    bool open = false; ///< between `begin` and `finish`
    Plane value;
    Plane ring; ///< often empty
    std::vector<std::uint8_t> under_roof;
    Plane roof; ///< scratch: the cells of one footprint
    std::vector<Bound> bounds;

    void require_open(const char* what) const
    {
        if (!open)
            throw std::logic_error{what};
    }
    /// Throws: as SurfaceTile::finish.
    void require_range(const CellRect& rect) const;
};

SurfaceTile::SurfaceTile() : planes_{std::make_unique<Planes>()} {}
SurfaceTile::SurfaceTile(SurfaceTile&&) noexcept = default;
SurfaceTile& SurfaceTile::operator=(SurfaceTile&&) noexcept = default;
SurfaceTile::~SurfaceTile() = default;

void SurfaceTile::begin(const CellRect& rect)
{
    require(!rect.empty() && rect.is_countable() && rect.cols < most_cells_off &&
                rect.rows < most_cells_off,
            "SurfaceTile::begin: the rectangle has no cells, or is too large");
    const auto cells = static_cast<std::size_t>(rect.rows * rect.cols);
    planes_->value.assign(cells, 0);
    planes_->under_roof.assign(cells, 0);
    planes_->ring.clear();
    planes_->bounds.clear();
    planes_->open = true;
    value_ = planes_->value.data();
    under_roof_ = planes_->under_roof.data();
    ring_ = nullptr;
    rect_ = rect;
    touched_ = {};
}

void SurfaceTile::add(const RingOutlines& outlines, const CellFrame& frame, const Grid& grid,
                      std::span<const double> points)
{
    planes_->require_open("SurfaceTile::add: before begin or after finish");
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
        coverage::scatter(outlines.within[k], frame, grid, inner - outer, rect_, planes_->value);
        inner = outer;
    }
    if (some_ring_without_weight) {
        planes_->ring.resize(planes_->value.size());
        ring_ = planes_->ring.data();
        coverage::scatter(widest, frame, grid, unit_weight, rect_, planes_->ring);
        coverage::scatter(outlines.within.front(), frame, grid, -unit_weight, rect_, planes_->ring);
    }
    mark_roof(outlines.within.front(), frame, grid);
    planes_->bounds.push_back({cells, std::clamp(most, 1.0, 100.0)});
}

void SurfaceTile::mark_roof(const Outline& roof, const CellFrame& frame, const Grid& grid)
{
    const CellRect cells =
        intersection(widened(grid.cells_of(frame, bounds(roof)), margin_cells), rect_);
    if (cells.empty())
        return;
    planes_->roof.assign(static_cast<std::size_t>(cells.rows * cells.cols), 0);
    coverage::scatter(roof, frame, grid, unit_weight, cells, planes_->roof);
    const std::uint64_t* cell = planes_->roof.data();
    for (std::int64_t row = cells.row; row < cells.row + cells.rows; ++row) {
        std::uint8_t* mark = &planes_->under_roof[at(row, cells.col)];
        std::uint64_t sum = 0;
        for (std::int64_t col = 0; col < cells.cols; ++col)
            if (holds_something(sum += *cell++))
                mark[col] = 1;
    }
}

void SurfaceTile::refuse(std::int64_t row, std::int64_t col) const
{
    throw std::out_of_range{"SurfaceTile: row " + std::to_string(row) + ", column " +
                            std::to_string(col) + " lies outside the rectangle"};
}

void SurfaceTile::finish()
{
    planes_->require_open("SurfaceTile::finish: before begin or a second time");
    planes_->open = false;
    planes_->require_range(rect_);
    for (Planes::Plane* plane : {&planes_->value, &planes_->ring}) {
        if (plane->empty())
            continue;
        for (std::int64_t row = touched_.row; row < touched_.row + touched_.rows; ++row) {
            std::uint64_t* cell = &(*plane)[at(row, touched_.col)];
            std::partial_sum(cell, cell + touched_.cols, cell);
        }
    }
}

void SurfaceTile::Planes::require_range(const CellRect& rect) const
{
    const double all = std::accumulate(bounds.begin(), bounds.end(), 0.0,
                                       [](double sum, const Bound& b) { return sum + b.points; });
    if (all < most_points)
        return;
    // Rare: so many structures on one rectangle that the cells have to be looked at one by one.
    std::vector<double> most(static_cast<std::size_t>(rect.cols) + 1);
    for (std::int64_t row = rect.row; row < rect.row + rect.rows; ++row) {
        std::fill(most.begin(), most.end(), 0.0);
        for (const Bound& b : bounds)
            if (row >= b.cells.row && row < b.cells.row + b.cells.rows) {
                most[static_cast<std::size_t>(b.cells.col - rect.col)] += b.points;
                most[static_cast<std::size_t>(b.cells.col + b.cells.cols - rect.col)] -= b.points;
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
