// SPDX-License-Identifier: Apache-2.0

// The map of parcels is made once, exactly: lines are noded on a lattice (noding.cpp), the sides of
// every line found (parcel_faces.cpp). Then asking which parcel holds a place, or which lines run
// near a structure, looks at a few cells of a grid.
#include "geometry/partition/parcel_map.hpp"

#include "geometry/partition/parcel_faces.hpp"

#include <limits>
#include <utility>

namespace fuelring {

namespace {

std::vector<ParcelClaim> claims_of(const std::vector<ParcelShape>& shapes)
{
    std::vector<ParcelClaim> claims;
    for (std::size_t k = 0; k < shapes.size(); ++k)
        for (const LatticeLoop& loop : shapes[k])
            for (std::size_t i = 0; i < loop.size(); ++i) {
                const LatticePoint a = loop[i];
                const LatticePoint b = loop[(i + 1) % loop.size()];
                const auto parcel = static_cast<std::int32_t>(k);
                if (a < b)
                    claims.push_back({{a, b}, parcel, 1});
                else if (b < a)
                    claims.push_back({{b, a}, parcel, -1});
            }
    return claims;
}

SegmentGrid grid_of(const std::vector<ParcelLine>& lines)
{
    std::vector<LatticeSegment> segments;
    segments.reserve(lines.size());
    for (const ParcelLine& line : lines)
        segments.push_back(line.line);
    return SegmentGrid{segments};
}

/// A line at the height of a ray: where it is met there, and a little above to tell lines apart
/// that start in one point.
struct Meeting {
    double x = -std::numeric_limits<double>::infinity();
    double x_above = 0;

    bool operator<(const Meeting& other) const
    {
        return x != other.x ? x < other.x : x_above < other.x_above;
    }
};

} // namespace

ParcelShape parcel_shape(const Footprint& footprint)
{
    ParcelShape shape;
    for (const Loop& loop : footprint.loops) {
        LatticeLoop& points = shape.emplace_back();
        points.reserve(loop.size());
        for (const Point p : loop)
            points.push_back(to_lattice(p));
    }
    return shape;
}

ParcelMap::ParcelMap(const std::vector<ParcelShape>& shapes)
{
    ParcelFaces faces = faces_of(noded(claims_of(shapes)));
    lines_ = std::move(faces.lines);
    overlaps_ = std::move(faces.overlaps);
    // Lines of one neighbourhood next to each other in memory: asking for them is then quick.
    const SegmentGrid grid = grid_of(lines_);
    std::vector<std::pair<std::uint32_t, std::uint32_t>> order;
    for (std::uint32_t k = 0; k < lines_.size(); ++k)
        order.emplace_back(grid.first_cell(k), k);
    std::sort(order.begin(), order.end());
    std::vector<ParcelLine> sorted;
    sorted.reserve(lines_.size());
    for (const auto& [cell, k] : order)
        sorted.push_back(lines_[k]);
    lines_ = std::move(sorted);
    grid_ = grid_of(lines_);
}

// A ray to the left: the near side of the first line that it meets is the parcel.
std::int32_t ParcelMap::at(Point p) const
{
    const Point q{p.x * lattice_per_unit, p.y * lattice_per_unit};
    if (lines_.empty() || !(std::abs(q.x) < 0x1p60) || !(std::abs(q.y) < 0x1p60))
        return no_parcel;
    const std::int64_t row = grid_.row_of(static_cast<std::int64_t>(std::floor(q.y)));
    if (row < 0 || row >= grid_.rows())
        return no_parcel;
    const std::int64_t col = grid_.col_of(static_cast<std::int64_t>(std::floor(q.x)));
    std::int32_t parcel = no_parcel;
    Meeting nearest;
    for (std::int64_t c = std::min(col, grid_.cols() - 1); c >= 0; --c) {
        for (const std::uint32_t k : grid_.in_cell(grid_.number(c, row))) {
            const Point a{static_cast<double>(lines_[k].line.a.x),
                          static_cast<double>(lines_[k].line.a.y)};
            const Point b{static_cast<double>(lines_[k].line.b.x),
                          static_cast<double>(lines_[k].line.b.y)};
            if ((a.y > q.y) == (b.y > q.y))
                continue;
            const bool rises = b.y > a.y;
            if ((cross(b - a, q - a) >= 0) == rises) // not to the left of the place
                continue;
            const double slope = (b.x - a.x) / (b.y - a.y);
            const Meeting here{a.x + (q.y - a.y) * slope,
                               a.x + (std::floor(q.y) + 1 - a.y) * slope};
            if (!(nearest < here))
                continue;
            nearest = here;
            parcel = rises ? lines_[k].right : lines_[k].left;
        }
        if (nearest.x > static_cast<double>(grid_.left_of(c)))
            break;
    }
    return parcel;
}

std::vector<std::uint32_t> ParcelMap::lines_about(const Box& box) const
{
    std::vector<std::uint32_t> found;
    if (lines_.empty())
        return found;
    const LatticePoint low = to_lattice(box.min);
    const LatticePoint high = to_lattice(box.max);
    grid_.for_each_in(grid_.cells_of(low, high), [&](std::uint32_t k) {
        const LatticeSegment& s = lines_[k].line;
        const auto [bottom, top] = std::minmax(s.a.y, s.b.y);
        if (s.a.x <= high.x + 1 && s.b.x >= low.x - 1 && bottom <= high.y + 1 && top >= low.y - 1)
            found.push_back(k);
    });
    return found;
}

} // namespace fuelring
