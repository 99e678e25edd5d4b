// SPDX-License-Identifier: Apache-2.0
#include "io/gdal/handles.hpp"
#include "io/geopackage/footprint_wkb.hpp"
#include "unit/io/tables/hamlet.hpp"

#include <doctest/doctest.h>

using namespace fuelring;

namespace {

std::string wkt_of(const std::string& wkb)
{
    OGRGeometryH raw = nullptr;
    REQUIRE(OGR_G_CreateFromWkb(wkb.data(), nullptr, &raw, static_cast<int>(wkb.size())) ==
            OGRERR_NONE);
    const GeometryPtr geometry{raw};
    char* text = nullptr;
    OGR_G_ExportToWkt(geometry.get(), &text);
    const CplTextPtr owned{text};
    return text;
}

} // namespace

TEST_CASE("each hole belongs to the smallest shell around it")
{
    const Hamlet hamlet;
    const auto polygons = polygons_of(hamlet.community.structures[1].footprint);
    REQUIRE(polygons.size() == 2);
    CHECK(polygons[0].shell == 0);
    CHECK(polygons[0].holes == std::vector<std::size_t>{2}); // the courtyard
    CHECK(polygons[1].shell == 3);                           // the barn in it
    CHECK(polygons[1].holes == std::vector<std::size_t>{1}); // and its yard
}

TEST_CASE("a hole that touches its shell in a point stays inside it")
{
    // A diamond whose tip touches the wall at (0, 5), next to another house.
    const Footprint house{{{{-30, 0}, {-20, 0}, {-20, 10}, {-30, 10}},
                           {{0, 0}, {10, 0}, {10, 10}, {0, 10}},
                           {{0, 5}, {3, 8}, {6, 5}, {3, 2}}}};
    const auto polygons = polygons_of(house);
    REQUIRE(polygons.size() == 2);
    CHECK(polygons[0].holes.empty());
    CHECK(polygons[1].holes == std::vector<std::size_t>{2});
}

TEST_CASE("footprints go out in the coordinates of the analysis CRS")
{
    const Hamlet hamlet;
    const Structure& cabin = hamlet.community.structures[0];
    CHECK(wkt_of(wkb_multipolygon(cabin.footprint, cabin.frame, hamlet.grid)) ==
          "MULTIPOLYGON (((500010 5249990,500014 5249990,500014 5249993,500010 5249993,"
          "500010 5249990)))");
    CHECK(wkt_of(wkb_point({1.5, -2})) == "POINT (1.5 -2)");
}
