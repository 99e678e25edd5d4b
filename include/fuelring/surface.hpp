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
/// in one cell. At 1 m cells a structure adds at most 100 x 0.35 / 7.07 = 5 points where its rings
/// are mapped (a point-sized footprint), so even 200,000 structures on one spot stay below. The
/// bound is kept for every cell all the same, and `finish` throws rather than give a wrapped sum.
/// Within unmapped cells the sum may wrap; they carry no value.
class SurfaceTile {
public:
    SurfaceTile(const CellRect& rect, const Grid& grid);

    /// Adds one structure. Structures whose outlines miss the rectangle add nothing.
    /// `points` as of `points_per_m2`.
    void add(const RingOutlines& outlines, const CellFrame& frame, std::span<const double> points);

    /// Turns differences into values; call once, after the last `add`.
    /// Throws: Error{input} when the sum of some cell may have overflowed.
    void finish();

    const CellRect& rect() const { return rect_; }
    /// Percentage points that full conifer cover of the cell adds, summed over structures.
    double points(std::int64_t row, std::int64_t col) const;
    /// True where some ring covers part of the cell, whatever its weight. Less than 1.5e-11 points
    /// count as nothing: a boundary that only touches a cell leaves that much rounding.
    bool ring_reaches(std::int64_t row, std::int64_t col) const;
    /// True where some ring or roof covers part of the cell.
    bool reached(std::int64_t row, std::int64_t col) const;

    /// Largest sum of points a cell can hold.
    static constexpr double most_points = 0x1p20;

private:
    using Plane = std::vector<std::uint64_t>;
    std::size_t at(std::int64_t row, std::int64_t col) const
    {
        return static_cast<std::size_t>((row - rect_.row) * rect_.cols + (col - rect_.col));
    }
    void require_range() const;

    CellRect rect_;
    const Grid* grid_;
    Plane value_; ///< coverage by rings times their weight
    Plane roof_;  ///< coverage by footprints
    Plane ring_;  ///< coverage by rings of structures where some ring has no weight; often empty
    /// Bound on what one structure adds to a cell, and which cells it may reach.
    struct Bound {
        CellRect cells;
        double points;
    };
    std::vector<Bound> bounds_;
};

} // namespace fuelring
