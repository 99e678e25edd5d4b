// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/offset/body.hpp"

#include <fuelring/outline.hpp>
#include <fuelring/stretch.hpp>

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace fuelring {

/// Where the frame of a structure lies among those of the others.
struct FramePlace {
    Point cell;           ///< its origin, in whole cells to the right and up from a common corner
    Point scale = {1, 1}; ///< units of the grid per metre of the frame
};

/// A structure as a union of many sees it. What it points to must outlive whoever holds it.
struct IndexedStructure {
    const Footprint* footprint = nullptr;
    FramePlace place;
    const RingStretch* stretch = nullptr; ///< none: round
    std::uint32_t group = 0;              ///< such as its neighbourhood
};

/// Points of one frame seen from another: k p + shift, axis by axis. Origins of frames are whole
/// cells apart, so where scales are equal nothing is rounded but the shift.
/// Error: one rounding of the product, one of the sum.
struct FrameMap {
    Point k = {1, 1};
    Point shift;

    Point operator()(Point p) const { return {k.x * p.x + shift.x, k.y * p.y + shift.y}; }
    Piece operator()(const Piece& piece) const
    {
        return piece.mapped(*this, [this](Point v) { return Point{k.x * v.x, k.y * v.y}; });
    }
    double most_stretch() const { return std::max(k.x, k.y); } ///< of lengths
};

/// `edge` is a band a few roundings wide; who cuts outlines there keeps both and lets welding tell.
enum class Side { inside, edge, outside };

/// Everything within r of one structure, the outer parallel body of its footprint: where a point of
/// its frame lies. r = 0 is the footprint. Distances are those of its rings: on a slope the gauge
/// (Minkowski functional) of the stretched body times r. Squared gauges are compared, within 5e-13
/// of r and 1e-12 m: what outlines and coordinates are rounded to.
class ParallelBody {
public:
    /// `box`: that of the footprint, which must outlive this.
    ParallelBody(const Footprint& footprint, const Box& box, const RingStretch& stretch,
                 double r_m);

    /// `edge`: on the outline, within what coordinates and the outline itself are rounded to.
    /// Cost: one nearest point for each wall, unless one tells early.
    Side side_of(Point p) const;
    /// True where one point of one wall has all of `hull` within r: then also what lies in its
    /// convex hull. `middle` is some point of it. May be false where several walls cover it.
    bool covers(Point middle, std::span<const Point> hull) const;
    /// True where the ball about p may hold a point of the outline or of the inside.
    bool may_meet(Point p, double radius_m) const;

private:
    double gauge2(Point z) const; ///< squared, times r^2, of a vector from the wall
    Point nearest(Point a, Point b, Point p) const;

    const Footprint* footprint_;
    Box box_; ///< around the footprint
    bool round_;
    SlopeFrame slope_;
    Egg egg_; ///< in the frame of the slope; not asked where round
    double r_m_;
    double far_m_; ///< nothing reaches further from the box, by ruler
    double near2_; ///< squared distances below it are inside
    double far2_;  ///< above it outside
};

/// The structures whose grounds are to be united, and which of them are near each other.
class StructureIndex {
public:
    /// `cell_size`: of a whole cell, in units of the grid. Footprints and stretches must outlive
    /// this.
    StructureIndex(std::vector<IndexedStructure> members, Point cell_size);

    std::size_t size() const { return members_.size(); }
    const IndexedStructure& operator[](std::size_t i) const { return members_[i]; }
    /// From the frame of one structure to that of another.
    FrameMap map(std::size_t from, std::size_t to) const;
    /// Everything within r_m of one; `stretched`: as its stretch says, else round.
    ParallelBody body(std::size_t i, double r_m, bool stretched) const;
    /// Members other than i that may have ground in common with it within r_m of both, rising.
    /// Law: j is near i where i is near j. Boxes judge, so some of them may share nothing.
    void near(std::size_t i, double r_m, bool stretched, std::vector<std::uint32_t>& found) const;
    /// The same, of candidates among whom all of them are, in their order.
    void near_among(std::span<const std::uint32_t> candidates, std::size_t i, double r_m,
                    bool stretched, std::vector<std::uint32_t>& found) const;

    /// Of a member; round where it has none.
    RingStretch stretch_of(std::size_t i) const
    {
        return members_[i].stretch ? *members_[i].stretch : RingStretch{};
    }

private:
    struct Entry {
        std::int32_t row;
        std::int32_t col;
        std::uint32_t member;
    };
    std::int32_t bucket_of(double on_grid) const;
    Box box_in_grid(std::size_t i, double r_m, bool stretched) const;
    double far_in_grid(double r_m, bool stretched) const;

    std::vector<IndexedStructure> members_;
    Point cell_size_;
    std::vector<Box> boxes_;     ///< of footprints, in their own frames
    std::vector<Entry> entries_; ///< by bucket
    double bucket_ = 1;          ///< side of a bucket, units of the grid
    double most_scale_ = 1;      ///< largest scale of a member
    double most_stretch_ = 1;    ///< largest factor of a stretch
};

} // namespace fuelring
