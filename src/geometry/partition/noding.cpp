// SPDX-License-Identifier: Apache-2.0

// Snap rounding. Every end of a line and every crossing, rounded to the lattice, is a point with a
// square of one step about it; a line that passes through such a square is bent through its point.
// So a corner of one parcel that lies a hair off the side of the next becomes a corner of both, and
// slivers and overlaps thinner than half a step are gone. All tests are on integers. The lines that
// come out are split again until nothing meets any more, which a second round nearly always finds.
// Source: Hobby, Practical segment intersection with finite precision output, Computational
// Geometry 13, 1999, pages 199 to 214.
#include "geometry/partition/noding.hpp"

#include "geometry/partition/segment_grid.hpp"

#include <stdexcept>
#include <tuple>

namespace fuelring {

namespace {

constexpr int most_rounds = 50; ///< two or three are used

/// A point that lies on a line and is to split it.
struct Split {
    std::uint32_t line;
    LatticePoint at;
};

int sign(Wide value)
{
    return value > 0 ? 1 : value < 0 ? -1 : 0;
}

bool boxes_meet(const LatticeSegment& s, const LatticeSegment& t)
{
    // a is before b, so a.x <= b.x
    const auto [s_low, s_high] = std::minmax(s.a.y, s.b.y);
    const auto [t_low, t_high] = std::minmax(t.a.y, t.b.y);
    return s.a.x <= t.b.x && t.a.x <= s.b.x && s_low <= t_high && t_low <= s_high;
}

/// True where two lines cross at a point inside both.
bool cross_properly(const LatticeSegment& s, const LatticeSegment& t)
{
    const LatticePoint ds = s.b - s.a;
    const LatticePoint dt = t.b - t.a;
    return sign(cross(ds, t.a - s.a)) * sign(cross(ds, t.b - s.a)) < 0 &&
           sign(cross(dt, s.a - t.a)) * sign(cross(dt, s.b - t.a)) < 0;
}

/// The crossing, rounded; half a step off at the worst, and a little for the division.
LatticePoint crossing(const LatticeSegment& s, const LatticeSegment& t)
{
    const LatticePoint ds = s.b - s.a;
    const LatticePoint dt = t.b - t.a;
    const double part =
        static_cast<double>(cross(t.a - s.a, dt)) / static_cast<double>(cross(ds, dt));
    return {s.a.x + std::llround(part * static_cast<double>(ds.x)),
            s.a.y + std::llround(part * static_cast<double>(ds.y))};
}

/// True where the line passes through the square of one step about `p`, its border included.
bool through_square(const LatticeSegment& s, LatticePoint p)
{
    const auto [low, high] = std::minmax(s.a.y, s.b.y);
    if (p.x < s.a.x || p.x > s.b.x || p.y < low || p.y > high)
        return false;
    const LatticePoint d = s.b - s.a;
    const Wide off = cross(d, p - s.a);
    return 2 * (off < 0 ? -off : off) <= static_cast<Wide>(d.x) + (d.y < 0 ? -d.y : d.y);
}

/// The different lines of sorted claims.
std::vector<LatticeSegment> lines_of(const std::vector<ParcelClaim>& claims)
{
    std::vector<LatticeSegment> lines;
    for (const ParcelClaim& claim : claims)
        if (lines.empty() || lines.back() != claim.line)
            lines.push_back(claim.line);
    return lines;
}

void sort_unique(std::vector<LatticePoint>& points)
{
    std::sort(points.begin(), points.end());
    points.erase(std::unique(points.begin(), points.end()), points.end());
}

/// All ends and all rounded crossings.
std::vector<LatticePoint> points_of(const std::vector<LatticeSegment>& lines,
                                    const SegmentGrid& grid)
{
    std::vector<LatticePoint> points;
    points.reserve(2 * lines.size());
    for (const LatticeSegment& line : lines) {
        points.push_back(line.a);
        points.push_back(line.b);
    }
    for (std::size_t cell = 0; cell < grid.count(); ++cell) {
        const auto near = grid.in_cell(cell);
        for (std::size_t i = 0; i < near.size(); ++i)
            for (std::size_t j = i + 1; j < near.size(); ++j) {
                const LatticeSegment& s = lines[near[i]];
                const LatticeSegment& t = lines[near[j]];
                if (boxes_meet(s, t) && cross_properly(s, t))
                    points.push_back(crossing(s, t));
            }
    }
    sort_unique(points);
    return points;
}

/// Where lines pass through squares that are not those of their ends; by line, from a to b.
std::vector<Split> splits_of(const std::vector<LatticeSegment>& lines)
{
    const SegmentGrid grid{lines};
    std::vector<Split> splits;
    for (const LatticePoint p : points_of(lines, grid))
        for (const std::uint32_t k : grid.in_cell(grid.cell_of(p)))
            if (p != lines[k].a && p != lines[k].b && through_square(lines[k], p))
                splits.push_back({k, p});
    std::sort(splits.begin(), splits.end(), [&](const Split& s, const Split& t) {
        if (s.line != t.line)
            return s.line < t.line;
        const LatticePoint d = lines[s.line].b - lines[s.line].a;
        const Wide along = dot(d, s.at - t.at);
        return along != 0 ? along < 0 : s.at < t.at;
    });
    return splits;
}

ParcelClaim directed(LatticePoint from, LatticePoint to, const ParcelClaim& claim)
{
    if (from < to)
        return {{from, to}, claim.parcel, claim.winding};
    return {{to, from}, claim.parcel, -claim.winding};
}

/// The claims with every line cut at its splits.
std::vector<ParcelClaim> cut(const std::vector<ParcelClaim>& claims,
                             const std::vector<Split>& splits)
{
    std::vector<ParcelClaim> result;
    result.reserve(claims.size() + 2 * splits.size());
    std::uint32_t line = 0;
    std::size_t first = 0; // splits of the line at hand
    for (std::size_t k = 0; k < claims.size(); ++k) {
        if (k > 0 && claims[k].line != claims[k - 1].line) {
            ++line;
            while (first < splits.size() && splits[first].line < line)
                ++first;
        }
        LatticePoint from = claims[k].line.a;
        for (std::size_t i = first; i < splits.size() && splits[i].line == line; ++i) {
            result.push_back(directed(from, splits[i].at, claims[k]));
            from = splits[i].at;
        }
        result.push_back(directed(from, claims[k].line.b, claims[k]));
    }
    return result;
}

/// Sorted, claims of one parcel to one line added up, what adds up to nothing left out.
void tidy(std::vector<ParcelClaim>& claims)
{
    const auto key = [](const ParcelClaim& c) { return std::tie(c.line.a, c.line.b, c.parcel); };
    std::sort(claims.begin(), claims.end(),
              [&](const ParcelClaim& a, const ParcelClaim& b) { return key(a) < key(b); });
    std::size_t kept = 0;
    for (std::size_t k = 0; k < claims.size();) {
        ParcelClaim sum = claims[k++];
        for (; k < claims.size() && key(claims[k]) == key(sum); ++k)
            sum.winding += claims[k].winding;
        if (sum.winding != 0)
            claims[kept++] = sum;
    }
    claims.resize(kept);
}

} // namespace

std::vector<ParcelClaim> noded(std::vector<ParcelClaim> claims)
{
    for (int round = 0; round < most_rounds; ++round) {
        tidy(claims);
        const std::vector<Split> splits = splits_of(lines_of(claims));
        if (splits.empty())
            return claims;
        claims = cut(claims, splits);
    }
    throw std::runtime_error("parcel lines could not be made to meet in points");
}

} // namespace fuelring
