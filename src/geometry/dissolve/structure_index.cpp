// SPDX-License-Identifier: Apache-2.0

// Who is near whom, and what lies within a distance of one. Every member keeps the frame of its
// structure; points are carried from frame to frame, whose origins are whole cells apart, so that
// neither the size of the grid's coordinates nor the place of the raster changes a bit.
#include "geometry/dissolve/structure_index.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>

namespace fuelring {
namespace {

/// An outline's points are off by this share of r (edge_index.cpp keeps to it), and by this much
/// more for the rounding of coordinates.
constexpr double outline_tolerance = 5e-13;
constexpr double rounding_m = 1e-12;

/// From the corner of the grid to the farthest member, one way.
constexpr double most_buckets = 1e9;

} // namespace

ParallelBody::ParallelBody(const Footprint& footprint, const Box& box, const RingStretch& stretch,
                           double r_m)
    : footprint_(&footprint), box_(box), round_(stretch.is_round()),
      slope_(stretch.downhill), egg_{r_m, stretch.down, stretch.across}, r_m_(r_m)
{
    const double tolerance_m = outline_tolerance * r_m + rounding_m;
    const double near_m = r_m - tolerance_m;
    const double most_stretch = std::max({1.0, stretch.down, stretch.across});
    far_m_ = r_m * most_stretch * (1 + outline_tolerance) + rounding_m;
    near2_ = r_m > 0 ? near_m * near_m : 0;
    far2_ = (r_m + tolerance_m) * (r_m + tolerance_m);
}

/// Squared distance as the rings count it of ground z metres from a point of the wall.
inline double ParallelBody::gauge2(Point z) const
{
    return round_ ? Disc::nominal2(z) : egg_.nominal2(slope_.in(z));
}

/// The point of a wall that has p at the least gauge.
inline Point ParallelBody::nearest(Point a, Point b, Point p) const
{
    const Point d = b - a;
    const Point z = p - a;
    if (round_)
        return a + std::clamp(dot(z, d) / dot(d, d), 0.0, 1.0) * d;
    const Point along = slope_.in(d); // the egg measures along the wall in whole walls here
    return a + slope_.out(egg_.nearest({{}, along, along, 1}, egg_.foot(along), slope_.in(z)));
}

bool ParallelBody::may_meet(Point p, double radius_m) const
{
    const double far_m = far_m_ + radius_m;
    return box_.squared_distance(p) <= far_m * far_m;
}

Side ParallelBody::side_of(Point p) const
{
    if (!may_meet(p, 0))
        return Side::outside;
    double least = std::numeric_limits<double>::infinity();
    for (const Loop& loop : footprint_->loops) {
        Point a = loop.back();
        for (const Point b : loop) {
            const double g = gauge2(p - nearest(a, b, p));
            if (g < near2_)
                return Side::inside;
            least = std::min(least, g);
            a = b;
        }
    }
    if (r_m_ == 0 && least <= far2_)
        return Side::edge;
    if (contains(*footprint_, p))
        return Side::inside;
    return least <= far2_ ? Side::edge : Side::outside;
}

bool ParallelBody::covers(Point middle, std::span<const Point> hull) const
{
    const double most2 = far_m_ * far_m_;
    if (r_m_ == 0 || box_.squared_distance(middle) > most2)
        return false;
    for (const Point p : hull)
        if (box_.squared_distance(p) > most2)
            return false;
    // A ball of the gauge is convex: with the corners of a hull it holds the hull.
    const auto from = [&](Point w) {
        return gauge2(middle - w) < near2_ && std::all_of(hull.begin(), hull.end(), [&](Point p) {
                   return gauge2(p - w) < near2_;
               });
    };
    for (const Loop& loop : footprint_->loops) {
        if (from(loop.front())) // of a house and a wide ring this mostly tells
            return true;
        Point a = loop.back();
        for (const Point b : loop) {
            if (from(nearest(a, b, middle)))
                return true;
            a = b;
        }
    }
    return false;
}

StructureIndex::StructureIndex(std::vector<IndexedStructure> members, Point cell_size)
    : members_(std::move(members)), cell_size_(cell_size)
{
    boxes_.reserve(members_.size());
    double extent = 0;
    double farthest = 0;
    for (const IndexedStructure& m : members_) {
        boxes_.push_back(bounds(*m.footprint));
        const Point d = boxes_.back().max - boxes_.back().min;
        extent += d.x * m.place.scale.x + d.y * m.place.scale.y;
        most_scale_ = std::max({most_scale_, m.place.scale.x, m.place.scale.y});
        if (m.stretch)
            most_stretch_ = std::max({most_stretch_, m.stretch->down, m.stretch->across});
        farthest = std::max({farthest, std::abs(m.place.cell.x * cell_size_.x),
                             std::abs(m.place.cell.y * cell_size_.y)});
    }
    // A few houses to a bucket where they stand close; buckets are counted in 32 bits.
    bucket_ = members_.empty() ? 1
                               : std::max(2 * extent / static_cast<double>(members_.size()),
                                          (farthest + extent) / most_buckets);
    for (std::size_t i = 0; i < members_.size(); ++i) {
        const Box box = box_in_grid(i, 0, false);
        const std::int32_t last_row = bucket_of(box.max.y);
        const std::int32_t last_col = bucket_of(box.max.x);
        for (std::int32_t row = bucket_of(box.min.y); row <= last_row; ++row)
            for (std::int32_t col = bucket_of(box.min.x); col <= last_col; ++col)
                entries_.push_back({row, col, static_cast<std::uint32_t>(i)});
    }
    std::sort(entries_.begin(), entries_.end(), [](const Entry& a, const Entry& b) {
        return std::tie(a.row, a.col, a.member) < std::tie(b.row, b.col, b.member);
    });
}

std::int32_t StructureIndex::bucket_of(double on_grid) const
{
    constexpr double most = std::numeric_limits<std::int32_t>::max() - 1.0;
    return static_cast<std::int32_t>(std::clamp(std::floor(on_grid / bucket_), -most, most));
}

FrameMap StructureIndex::map(std::size_t from, std::size_t to) const
{
    const FramePlace& a = members_[from].place;
    const FramePlace& b = members_[to].place;
    const Point cells = a.cell - b.cell;
    return {{a.scale.x / b.scale.x, a.scale.y / b.scale.y},
            {cells.x * cell_size_.x / b.scale.x, cells.y * cell_size_.y / b.scale.y}};
}

ParallelBody StructureIndex::body(std::size_t i, double r_m, bool stretched) const
{
    const IndexedStructure& m = members_[i];
    return {*m.footprint, boxes_[i], stretched ? stretch_of(i) : RingStretch{}, r_m};
}

/// How far any member reaches beyond its footprint, in units of the grid.
double StructureIndex::far_in_grid(double r_m, bool stretched) const
{
    return (r_m * (stretched ? most_stretch_ : 1) * (1 + 1e-9) + same_place_m) * most_scale_;
}

/// Box of everything within r_m of a member, in units of the grid; a little too large.
Box StructureIndex::box_in_grid(std::size_t i, double r_m, bool stretched) const
{
    const IndexedStructure& m = members_[i];
    const double most = stretched && m.stretch ? std::max(m.stretch->down, m.stretch->across) : 1;
    const double far_m = r_m * most * (1 + 1e-9) + same_place_m;
    const Point corner{m.place.cell.x * cell_size_.x, m.place.cell.y * cell_size_.y};
    const Box& b = boxes_[i];
    return {{corner.x + m.place.scale.x * (b.min.x - far_m),
             corner.y + m.place.scale.y * (b.min.y - far_m)},
            {corner.x + m.place.scale.x * (b.max.x + far_m),
             corner.y + m.place.scale.y * (b.max.y + far_m)}};
}

void StructureIndex::near(std::size_t i, double r_m, bool stretched,
                          std::vector<std::uint32_t>& found) const
{
    found.clear();
    const Box mine = box_in_grid(i, r_m, stretched);
    // The index holds bare footprints; the others reach as far as the furthest of them.
    const double far = far_in_grid(r_m, stretched);
    const std::int32_t first_col = bucket_of(mine.min.x - far);
    const std::int32_t last_col = bucket_of(mine.max.x + far);
    const std::int32_t last_row = bucket_of(mine.max.y + far);
    for (std::int32_t row = bucket_of(mine.min.y - far); row <= last_row; ++row) {
        auto at = std::lower_bound(entries_.begin(), entries_.end(), std::pair{row, first_col},
                                   [](const Entry& e, const auto& key) {
                                       return std::pair{e.row, e.col} < key;
                                   });
        for (; at != entries_.end() && at->row == row && at->col <= last_col; ++at)
            if (at->member != i && mine.meets(box_in_grid(at->member, r_m, stretched)))
                found.push_back(at->member);
    }
    std::sort(found.begin(), found.end());
    found.erase(std::unique(found.begin(), found.end()), found.end());
}

void StructureIndex::near_among(std::span<const std::uint32_t> candidates, std::size_t i,
                                double r_m, bool stretched, std::vector<std::uint32_t>& found) const
{
    found.clear();
    const Box mine = box_in_grid(i, r_m, stretched);
    for (const std::uint32_t j : candidates)
        if (j != i && mine.meets(box_in_grid(j, r_m, stretched)))
            found.push_back(j);
}

} // namespace fuelring
