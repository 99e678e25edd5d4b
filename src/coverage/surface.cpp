// SPDX-License-Identifier: Apache-2.0
#include "coverage/scatter.hpp"

#include <fuelring/error.hpp>
#include <fuelring/surface.hpp>

#include <algorithm>
#include <cstdint>
#include <numeric>

namespace fuelring {

using coverage::Int128;

namespace {

constexpr Int128 unit_weight = Int128{1} << coverage::fixed_places;

/// A cell that a boundary only touches may hold a few units of rounding, also below zero.
/// 256 units are 1.5e-11 points; the window below zero is wider for coarse cells, whose weights
/// have more than 53 bits.
constexpr std::uint64_t noise = 256;
constexpr std::uint64_t below_zero = std::uint64_t{0} - (std::uint64_t{1} << 24);

bool holds_something(std::uint64_t fixed)
{
    return fixed > noise && fixed < below_zero;
}

void running_sums(std::vector<std::uint64_t>& plane, std::size_t cols)
{
    for (std::size_t row = 0; row + cols <= plane.size(); row += cols)
        std::partial_sum(plane.begin() + static_cast<std::ptrdiff_t>(row),
                         plane.begin() + static_cast<std::ptrdiff_t>(row + cols),
                         plane.begin() + static_cast<std::ptrdiff_t>(row));
}

} // namespace

SurfaceTile::SurfaceTile(const CellRect& rect, const Grid& grid)
    : rect_(rect), grid_(&grid), value_(static_cast<std::size_t>(rect.rows * rect.cols)),
      roof_(value_.size())
{}

void SurfaceTile::add(const RingOutlines& outlines, const CellFrame& frame,
                      std::span<const double> points)
{
    const Outline& widest = outlines.within.back();
    const CellRect cells = intersection(grid_->cells_of(frame, bounds(widest)), rect_);
    if (cells.empty())
        return;
    // Ring weights are rounded once; an outline carries the difference of the ring inside it and
    // the ring outside it, so within the footprint the weights cancel to exactly zero.
    Int128 inner = 0;
    double most = 0;
    bool some_ring_without_weight = false;
    for (std::size_t k = 0; k < outlines.within.size(); ++k) {
        Int128 outer = 0;
        if (k < points.size()) {
            const double cell_points = points[k] * grid_->cell_area_m2();
            outer = coverage::to_fixed(cell_points);
            most += cell_points;
            some_ring_without_weight |= outer == 0;
        }
        coverage::scatter(outlines.within[k], frame, *grid_, inner - outer, rect_, value_);
        inner = outer;
    }
    const Outline& own = outlines.within.front();
    coverage::scatter(own, frame, *grid_, unit_weight, rect_, roof_);
    if (some_ring_without_weight) {
        ring_.resize(value_.size());
        coverage::scatter(widest, frame, *grid_, unit_weight, rect_, ring_);
        coverage::scatter(own, frame, *grid_, -unit_weight, rect_, ring_);
    }
    bounds_.push_back({cells, std::clamp(most, 1.0, 100.0)});
}

void SurfaceTile::finish()
{
    require_range();
    const auto cols = static_cast<std::size_t>(rect_.cols);
    running_sums(value_, cols);
    running_sums(roof_, cols);
    running_sums(ring_, cols);
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

double SurfaceTile::points(std::int64_t row, std::int64_t col) const
{
    const std::uint64_t fixed = value_[at(row, col)];
    return holds_something(fixed) ? 0x1p-44 * static_cast<double>(fixed) : 0;
}

bool SurfaceTile::ring_reaches(std::int64_t row, std::int64_t col) const
{
    const std::size_t i = at(row, col);
    return holds_something(value_[i]) || (!ring_.empty() && holds_something(ring_[i]));
}

bool SurfaceTile::reached(std::int64_t row, std::int64_t col) const
{
    return holds_something(roof_[at(row, col)]) || ring_reaches(row, col);
}

} // namespace fuelring
