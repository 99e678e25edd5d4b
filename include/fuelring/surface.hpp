// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/export.hpp>
#include <fuelring/grid.hpp>
#include <fuelring/measure.hpp>

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>

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
class FUELRING_EXPORT SurfaceTile {
public:
    SurfaceTile();
    SurfaceTile(SurfaceTile&&) noexcept;
    SurfaceTile& operator=(SurfaceTile&&) noexcept;
    ~SurfaceTile();

    /// Starts an empty rectangle; memory is kept from one to the next.
    /// Throws: std::invalid_argument for a rectangle of no cells, or that cannot be counted.
    void begin(const CellRect& rect);

    /// Adds one structure. Structures whose outlines miss the rectangle add nothing.
    /// `grid` and `points` as `measure` and `points_per_m2` had them for this structure.
    /// Throws: std::invalid_argument unless there are outlines, closed (require_valid of
    /// outline.hpp), and a number of `points` for each ring, not negative, that times a cell's area
    /// is below 2^80; where the outlines lie 2^30 cells or more from frame or rectangle;
    /// std::logic_error before `begin` or after `finish`.
    void add(const RingOutlines& outlines, const CellFrame& frame, const Grid& grid,
             std::span<const double> points);

    /// Turns differences into values; call once, after the last `add`.
    /// Throws: Error{input} when the sum of some cell may have overflowed; std::logic_error before
    /// `begin` and when called again.
    void finish();

    const CellRect& rect() const { return rect_; }
    /// Part of the rectangle outside which nothing is reached.
    const CellRect& touched() const { return touched_; }

    // These throw std::out_of_range for a cell outside the rectangle, and mean nothing before
    // `finish`.

    /// Percentage points that full conifer cover of the cell adds, summed over structures.
    double points(std::int64_t row, std::int64_t col) const
    {
        const std::uint64_t fixed = value_[at(row, col)];
        return holds_something(fixed) ? 0x1p-44 * static_cast<double>(fixed) : 0;
    }
    /// True where some ring covers part of the cell, whatever its weight. Less than 1.5e-11 points
    /// count as nothing: a boundary that only touches a cell leaves that much rounding.
    bool ring_reaches(std::int64_t row, std::int64_t col) const
    {
        const std::size_t i = at(row, col);
        return holds_something(value_[i]) || (ring_ != nullptr && holds_something(ring_[i]));
    }
    /// True where some ring or roof covers part of the cell.
    bool reached(std::int64_t row, std::int64_t col) const
    {
        return under_roof_[at(row, col)] != 0 || ring_reaches(row, col);
    }

    /// Largest sum of points a cell can hold.
    static constexpr double most_points = 0x1p20;

private:
    struct Planes;
    /// A cell that a boundary only touches may hold a few units of rounding, also below zero: 256
    /// are 1.5e-11 points. The window below zero is wider for coarse cells, whose weights have
    /// more than 53 bits.
    static bool holds_something(std::uint64_t fixed)
    {
        constexpr std::uint64_t noise = 256;
        constexpr std::uint64_t below_zero = std::uint64_t{0} - (std::uint64_t{1} << 24);
        return fixed > noise && fixed < below_zero;
    }
    std::size_t at(std::int64_t row, std::int64_t col) const
    {
        if (row < rect_.row || row >= rect_.row + rect_.rows || col < rect_.col ||
            col >= rect_.col + rect_.cols)
            refuse(row, col);
        return static_cast<std::size_t>((row - rect_.row) * rect_.cols + (col - rect_.col));
    }
    [[noreturn]] void refuse(std::int64_t row, std::int64_t col) const;
    void mark_roof(const Outline& roof, const CellFrame& frame, const Grid& grid);

    CellRect rect_;
    CellRect touched_;
    // What is read for every cell; `planes_` has it, and what only adding needs.
    const std::uint64_t* value_ = nullptr;     ///< coverage by rings times their weight
    const std::uint64_t* ring_ = nullptr;      ///< coverage by rings, where some ring has no weight
    const std::uint8_t* under_roof_ = nullptr; ///< 1 where a footprint covers part of the cell
    std::unique_ptr<Planes> planes_;
};

} // namespace fuelring
