// SPDX-License-Identifier: Apache-2.0

// A footprint is loops in local metres; WKB wants polygons, each a shell with its holes, in the
// coordinates of a CRS. Loops are sorted by the sign of their area, holes go to the smallest shell
// around them, and vertices become coordinates as they are written.
#include "io/geopackage/footprint_wkb.hpp"

#include <bit>
#include <cstdint>
#include <limits>

namespace fuelring {

static_assert(std::endian::native == std::endian::little, "WKB is written as it lies in memory");

namespace {

constexpr std::uint32_t wkb_point_code = 1;
constexpr std::uint32_t wkb_polygon_code = 3;
constexpr std::uint32_t wkb_multipolygon_code = 6;

template <typename T>
void append_value(std::string& to, T value)
{
    to.append(reinterpret_cast<const char*>(&value), sizeof value);
}

void append_head(std::string& to, std::uint32_t code)
{
    to += '\1'; // little-endian
    append_value(to, code);
}

double loop_area(const Loop& loop)
{
    return area_m2(Footprint{{loop}}); // negative for a hole
}

/// The middle of an edge of a hole cannot lie on a shell: loops touch in single points only.
Point inside_its_shell(const Loop& hole)
{
    return 0.5 * (hole[0] + hole[1]);
}

void append_ring(std::string& to, const Loop& loop, const CellFrame& frame, const Grid& grid)
{
    append_value(to, static_cast<std::uint32_t>(loop.size() + 1));
    for (std::size_t k = 0; k <= loop.size(); ++k) {
        const Point p = grid.to_map(frame, loop[k % loop.size()]);
        append_value(to, p.x);
        append_value(to, p.y);
    }
}

} // namespace

std::vector<ShellWithHoles> polygons_of(const Footprint& footprint)
{
    std::vector<ShellWithHoles> polygons;
    std::vector<double> shell_m2;
    std::vector<std::size_t> holes;
    for (std::size_t k = 0; k < footprint.loops.size(); ++k) {
        const double signed_m2 = loop_area(footprint.loops[k]);
        if (signed_m2 > 0) {
            polygons.push_back({k, {}});
            shell_m2.push_back(signed_m2);
        } else {
            holes.push_back(k);
        }
    }
    for (const std::size_t hole : holes) {
        const Point at = inside_its_shell(footprint.loops[hole]);
        std::size_t best = 0;
        double smallest = std::numeric_limits<double>::infinity();
        // Where there is one shell only, nothing is looked at: the hole is its.
        for (std::size_t k = 0; polygons.size() > 1 && k < polygons.size(); ++k) {
            if (shell_m2[k] < smallest &&
                contains(Footprint{{footprint.loops[polygons[k].shell]}}, at)) {
                best = k;
                smallest = shell_m2[k];
            }
        }
        polygons[best].holes.push_back(hole);
    }
    return polygons;
}

std::string wkb_multipolygon(const Footprint& footprint, const CellFrame& frame, const Grid& grid)
{
    const std::vector<ShellWithHoles> polygons = polygons_of(footprint);
    std::string wkb;
    append_head(wkb, wkb_multipolygon_code);
    append_value(wkb, static_cast<std::uint32_t>(polygons.size()));
    for (const ShellWithHoles& polygon : polygons) {
        append_head(wkb, wkb_polygon_code);
        append_value(wkb, static_cast<std::uint32_t>(1 + polygon.holes.size()));
        append_ring(wkb, footprint.loops[polygon.shell], frame, grid);
        for (const std::size_t hole : polygon.holes)
            append_ring(wkb, footprint.loops[hole], frame, grid);
    }
    return wkb;
}

std::string wkb_point(Point at)
{
    std::string wkb;
    append_head(wkb, wkb_point_code);
    append_value(wkb, at.x);
    append_value(wkb, at.y);
    return wkb;
}

} // namespace fuelring
