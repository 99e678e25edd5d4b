// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/partition/segment_grid.hpp"

#include <fuelring/footprint.hpp>

#include <array>
#include <cstddef>
#include <vector>

namespace fuelring {

/// The parcel of a place that none holds.
inline constexpr std::int32_t no_parcel = -1;

/// A parcel as read: closed loops, interior to their left, last vertex not repeated.
using ParcelShape = std::vector<LatticeLoop>;
/// Of a footprint in units of the grid.
ParcelShape parcel_shape(const Footprint& footprint);

/// A line between different parcels, or between a parcel and ground that is none.
struct ParcelLine {
    LatticeSegment line; ///< a before b
    std::int32_t left = no_parcel;
    std::int32_t right = no_parcel;
};

/// Two parcels that claim the same ground.
/// A strip of width w and length l has an area of w l and, where l is much larger, a perimeter of
/// 2 l: hence the mean width.
struct ParcelOverlap {
    std::int32_t first = 0;
    std::int32_t second = 0;
    double area = 0;       ///< square units of the grid
    double mean_width = 0; ///< 2 area / perimeter: the width of a strip
};

/// Which parcel every place belongs to: a partition of the plane, exact on the lattice.
/// Ground that several parcels claim belongs to the first of them.
class ParcelMap {
public:
    ParcelMap() = default;
    /// Parcel k of the map is shapes[k].
    /// Throws: as `noded`. Lines move by less than a step of the lattice, a millimetre.
    explicit ParcelMap(const std::vector<ParcelShape>& shapes);

    /// Law: lines meet in their ends only; about every point the parcels on the two sides of
    /// neighbouring lines agree.
    const std::vector<ParcelLine>& lines() const { return lines_; }
    /// By first parcel, then second.
    const std::vector<ParcelOverlap>& overlaps() const { return overlaps_; }

    /// The parcel at a place, in units of the grid. On a line: the side that lies up (then left).
    /// `no_parcel` for places too far off, too. Cost: a few cells of a grid.
    std::int32_t at(Point p) const;
    /// Numbers of the lines that may meet a box (units of the grid), in an order that depends on
    /// the box alone.
    /// Law: every line that meets the box is among them, once.
    std::vector<std::uint32_t> lines_about(const Box& box) const;
    /// What the order of `lines_about` depends on beside the lines in a box and the order of their
    /// numbers.
    std::array<std::int64_t, 5> layout() const { return grid_.layout(); }

private:
    std::vector<ParcelLine> lines_;
    SegmentGrid grid_;
    std::vector<ParcelOverlap> overlaps_;
};

} // namespace fuelring
