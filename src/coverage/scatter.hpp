// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/grid.hpp>
#include <fuelring/outline.hpp>

#include <cmath>
#include <cstdint>
#include <span>

namespace fuelring::coverage {

__extension__ using Int128 = __int128;

/// Binary places of the surface's fixed point.
inline constexpr int fixed_places = 44;

/// A real number in fixed point, rounded to the nearest; beyond 64 bits where coarse cells ask for
/// it.
/// Unit of the result: 2^-44 of that of `value`. Requires: |value| < 2^83.
Int128 to_fixed(double value);

/// The weight of one outline: what full coverage of a cell adds, in fixed point.
/// `part(h)` is the share of it below height h of a cell, 0 <= h <= 1, with part(0) = 0 and
/// part(1) = whole exactly. Both modulo 2^64.
/// Law: parts between heights that follow each other add up to that of all, exactly: rounding is of
/// heights, never of their differences.
class FixedWeight {
public:
    explicit FixedWeight(Int128 whole)
        : real_(static_cast<double>(whole)), whole_(static_cast<std::uint64_t>(whole)),
          narrow_(std::abs(real_) < 0x1p62)
    {}
    std::uint64_t whole() const { return whole_; }
    std::uint64_t part(double h) const
    {
        if (h == 1)
            return whole_;
        return round(real_ * h);
    }
    std::uint64_t times(double area) const { return round(real_ * area); }

private:
    std::uint64_t round(double value) const
    {
        if (narrow_)
            return static_cast<std::uint64_t>(std::llrint(value));
        return static_cast<std::uint64_t>(static_cast<Int128>(std::nearbyint(value)));
    }
    double real_;         ///< the weight itself
    std::uint64_t whole_; ///< modulo 2^64
    bool narrow_;         ///< fits 62 bits: the quick rounding will do
};

/// Adds weight x coverage of a region to a plane of differences along rows (README.md here):
/// after a running sum along each row, each cell holds weight x (share of the cell in the region),
/// rounded, and cells outside hold exactly what they held before.
/// `plane` holds rect.rows x rect.cols numbers; what lies left of `rect` is counted in, what lies
/// right of it, above or below is left out, so any division into rectangles gives the same cells.
/// Law: sums of planes do not depend on the order of outlines: integers are added modulo 2^64.
/// Source: the transpose of gather's sum, so the sum of weight x coverage x fuel over cells is
/// weight times gather's integral, to the rounding of the fixed point.
/// Requires: a closed outline; row by row, rect.rows x rect.cols numbers.
void scatter(const Outline& outline, const CellFrame& frame, const Grid& grid, Int128 weight,
             const CellRect& rect, std::span<std::uint64_t> plane);

} // namespace fuelring::coverage
