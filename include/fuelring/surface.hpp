// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/grid.hpp>
#include <fuelring/measure.hpp>

#include <cstdint>
#include <span>
#include <vector>

namespace fuelring {

/// The transpose of the measurement over a rectangle of cells: what a full conifer cover of each
/// cell adds to the exposure of all structures together, in percentage points.
///
/// Held in 64-bit fixed point with 44 binary places, unsigned and modular. Each structure's
/// contribution to a cell is an integer that depends on the structure and the cell alone, so sums
/// commute: the result is the same bits for any threads and any division into rectangles.
///
/// Range: a structure adds at most 100 points to a mapped cell, and a cell holds less than
/// 2^64 / 2^44 = 1,048,576 points, so 10,485 structures would have to have all their mapped ground
/// in one cell. At 1 m cells a structure adds at most 100 x 0.35 / 7.07 = 5 points (a point-sized
/// footprint), so even 200,000 structures on one spot stay below. `add` keeps a bound per cell and
/// throws rather than wrap. Within unmapped cells the sum may wrap; they carry no value.
class SurfaceTile {
public:
    SurfaceTile(const CellRect& rect, const Grid& grid);

    /// Adds one structure. Structures whose outlines miss the rectangle add nothing.
    /// `points` as of `points_per_m2`. Throws: Error{input} when a cell could overflow.
    void add(const RingOutlines& outlines, const CellFrame& frame, std::span<const double> points);

    /// Turns differences into values; call once, after the last `add`.
    void finish();

    const CellRect& rect() const { return rect_; }
    /// Percentage points that full conifer cover of the cell adds, summed over structures.
    double points(std::int64_t row, std::int64_t col) const;
    /// True where some ring covers part of the cell, whatever its weight.
    bool ring_reaches(std::int64_t row, std::int64_t col) const;
    /// True where some ring or roof covers part of the cell.
    bool reached(std::int64_t row, std::int64_t col) const;

private:
    using Plane = std::vector<std::uint64_t>;
    std::size_t at(std::int64_t row, std::int64_t col) const;
    void guard(const RingOutlines& outlines, const CellFrame& frame, std::span<const double> points);
    void scatter(const Outline& outline, const CellFrame& frame, double weight_hi, double weight_lo,
                 Plane& plane);

    CellRect rect_;
    const Grid* grid_;
    Plane value_; ///< weighted coverage by rings
    Plane roof_;  ///< coverage by footprints
    Plane ring_;  ///< coverage by rings that carry no weight; empty until one occurs
    double guard_sum_ = 0;
    std::vector<double> guard_; ///< per-cell bound, kept only where the plain sum is not enough
};

} // namespace fuelring
