// SPDX-License-Identifier: Apache-2.0
#include "fuzz/entries.hpp"
#include "fuzz/seeds.hpp"
#include "io/vector/vector_outline.hpp"

#include <fuelring/measure.hpp>

#include <ogr_geometry.h>

#include <memory>
#include <stdexcept>

namespace fuelring::test {

namespace {

std::string wkb_of(const char* wkt)
{
    OGRGeometry* made = nullptr;
    OGRGeometryFactory::createFromWkt(wkt, nullptr, &made);
    const std::unique_ptr<OGRGeometry> geometry{made};
    std::string bytes(geometry->WkbSize(), '\0');
    geometry->exportToWkb(wkbNDR, reinterpret_cast<unsigned char*>(bytes.data()), wkbVariantIso);
    return bytes;
}

} // namespace

/// As a footprint out of a layer: straightened, repaired, and its rings drawn.
void read_outline(std::string_view bytes)
{
    OGRGeometry* made = nullptr;
    OGRGeometryFactory::createFromWkb(bytes.data(), nullptr, &made, bytes.size());
    const std::unique_ptr<OGRGeometry> geometry{made};
    std::vector<RawPolygon> polygons = raw_outline(geometry.get()).polygons;
    std::size_t vertices = 0;
    for (const RawPolygon& polygon : polygons)
        for (const Loop& loop : polygon.loops) {
            vertices += loop.size();
            for (const Point p : loop)
                if (!is_place(p))
                    return; // refused by the reader
        }
    const Grid grid{{500'000, 1, 0, 5'540'000, 0, -1}, 200, 200};
    if (polygons.empty() || vertices > 500) // long ones are slow, no more
        return;
    to_local(polygons, frame_of(polygons, grid), grid);
    try {
        const Footprint footprint = repaired(polygons).footprint;
        if (!footprint.loops.empty() && bounds(footprint).max.x < 1e4 &&
            bounds(footprint).max.y < 1e4)
            (void)ring_outlines(footprint, RingPlan{});
    } catch (const std::runtime_error&) { // GEOS has its reasons; the reader says the feature
    }
}

std::vector<std::string> outline_seeds()
{
    return {wkb_of("POLYGON ((500010 5539980, 500020 5539980, 500020 5539990, 500010 5539990, "
                   "500010 5539980), (500012 5539982, 500018 5539982, 500018 5539988, 500012 "
                   "5539982))"),
            wkb_of("MULTIPOLYGON (((0 0, 9 9, 9 0, 0 9, 0 0)), ((5 5, 6 5, 6 6, 5 5)))"),
            wkb_of("CURVEPOLYGON (CIRCULARSTRING (0 0, 5 5, 10 0, 5 -5, 0 0))"),
            wkb_of("GEOMETRYCOLLECTION Z (POINT Z (1 2 3), POLYGON Z ((0 0 1, 1 0 1, 1 1 1, 0 0 "
                   "1)))"),
            wkb_of("TIN (((0 0, 1 0, 1 1, 0 0)), ((0 0, 1 1, 0 1, 0 0)))")};
}

} // namespace fuelring::test
