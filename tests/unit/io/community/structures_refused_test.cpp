// SPDX-License-Identifier: Apache-2.0

// Structure layers that are refused, each with its reason and what to do.
#include "community_fixture.hpp"

#include <doctest/doctest.h>

using namespace fuelring;
using namespace fuelring::test;

namespace {

constexpr auto check_layer_says = check_says;

} // namespace

TEST_CASE("ids that are missing or repeated are refused, the first few of them listed")
{
    Town missing;
    missing.structures({{rectangle(10, -20, 5, 5), {"a"}},
                        {rectangle(20, -20, 5, 5), {std::nullopt}},
                        {rectangle(30, -20, 5, 5), {""}}});
    check_layer_says(error_of([&] { missing.read(); }),
                     "2 features have no id in column id (features 2, 3)",
                     "leave inputs.structures.id out to use feature ids");
    missing.sources.structures.id.clear();
    CHECK(missing.read().structures.size() == 3);

    std::vector<FeatureSpec> features;
    for (int k = 0; k < 8; ++k)
        for (int twice = 0; twice < 2; ++twice)
            features.push_back(
                {rectangle(10, -20, 5, 5), {std::string(1, static_cast<char>('a' + k))}});
    const Town repeated;
    repeated.structures(features);
    const Error e = error_of([&] { repeated.read(); });
    check_layer_says(e, "8 ids in column id are repeated: 'a' in features 1 and 2", "feature ids");
    CHECK(std::string_view{e.what()}.ends_with(", ..."));
}

TEST_CASE("a structure layer that cannot be used is refused with the reason and the remedy")
{
    struct Case {
        std::string_view why;
        LayerSpec layer;
        std::vector<FeatureSpec> features;
        StructureSource source;
        std::string_view what, remedy;
    };
    const std::vector<std::string> columns = {"id", "kind"};
    const std::vector<FeatureSpec> house = {{rectangle(10, -20, 5, 5), {"a", "house"}}};
    const Case cases[] = {
        {"no CRS",
         {.epsg = 0, .columns = columns},
         house,
         {},
         "no coordinate reference system",
         "inputs.structures.crs = \"EPSG:"},
        {"points",
         {.columns = columns, .geometry = "point"},
         {},
         {},
         "has Point where polygons are needed",
         "inputs.structures.layer"},
        {"only points",
         {.columns = columns},
         {{point(10, -20), {"a"}}},
         {},
         "no structure is left of 1 features: 1 without area",
         "inputs.structures.layer"},
        {"no features",
         {.columns = columns},
         {},
         {},
         "no structure is left of 0 features",
         "where"},
        {"filter that takes all",
         {.columns = columns},
         house,
         {{.where = "kind = 'x'"}},
         "no structure is left of 0 features",
         "where"},
        {"all too small",
         {.columns = columns},
         house,
         {{}, "", 26},
         "1 below min_area_m2",
         "min_area_m2"},
        {"no such column",
         {.columns = columns},
         house,
         {{}, "bid"},
         "no column 'bid'",
         "check inputs.structures.id: the columns are id, kind"},
        {"no such layer",
         {.name = "roofs", .columns = columns},
         house,
         {{.layer = "walls"}},
         "no layer 'walls'",
         "inputs.structures.layer: one of roofs"},
        {"filter of nonsense",
         {.columns = columns},
         house,
         {{.where = "kind = = 1"}},
         "cannot be read with the filter \"kind = = 1\": ",
         "check inputs.structures.where"},
        {"filter on no column",
         {.columns = columns},
         house,
         {{.where = "height > 1"}},
         "height",
         ""},
        {"off the raster",
         {.columns = columns},
         {{rectangle(5000, -20, 5, 5), {"a"}}},
         {},
         "all 1 structures are outside the fuel raster: they cover x 505002 to 505002",
         "inputs.fuel.crs"},
        {"another hemisphere",
         {.epsg = 32732, .columns = columns},
         house,
         {},
         "are outside the fuel raster",
         "inputs.structures.crs"},
        {"beyond the area of the grid",
         {.columns = columns},
         {{rectangle(10, -20, 5, 5), {"a"}}, {rectangle(4e7, -20, 5, 5), {"b"}}},
         {},
         "structure 2 at (40500002, 5539982) lies outside the area of WGS 84 / UTM zone 32N",
         "inputs.structures.crs"},
        {"off the earth",
         {.epsg = 4326, .columns = columns},
         {{"POLYGON ((5e6 1e6, 6e6 1e6, 6e6 2e6, 5e6 1e6))", {"a"}}},
         {},
         "a vertex cannot be placed",
         "inputs.structures.crs"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        Town town;
        write_layer(town.folder / "s.gpkg", c.layer, c.features);
        town.sources.structures = c.source;
        town.sources.structures.path = town.folder / "s.gpkg";
        check_layer_says(error_of([&] { town.read(); }), c.what, c.remedy);
    }
}

TEST_CASE("a vertex that is not finite is refused with the feature it belongs to")
{
    Town town;
    town.sources.structures = {{.path = town.folder / "s.geojson"}};
    write_text(town.folder / "s.geojson",
               R"({"type": "FeatureCollection", "features": [{"type": "Feature", "id": 7,
               "properties": {}, "geometry": {"type": "Polygon", "coordinates":
               [[[9, 50], [9.001, 1e999], [9.001, 50.001], [9, 50]]]}}]})");
    check_layer_says(error_of([&] { town.read(); }), "a vertex cannot be placed",
                     "check the geometry");
}

TEST_CASE("of several layers one must be named")
{
    Town town;
    write_layer(town.folder / "s.gpkg", {.name = "roofs"}, {{rectangle(10, -20, 5, 5)}});
    write_layer(town.folder / "s.gpkg", {.name = "sheds"}, {{rectangle(10, -20, 1, 1)}});
    town.sources.structures = {{.path = town.folder / "s.gpkg"}};
    check_layer_says(error_of([&] { town.read(); }), "the file has 2 layers, and none is named",
                     "name inputs.structures.layer: one of roofs, sheds");
    town.sources.structures.layer = "sheds";
    CHECK(town.read().structures.front().footprint_m2 == 1);
}

TEST_CASE("a file that is none is refused with GDAL's own reason")
{
    Town town;
    town.sources.structures.path = town.folder / "none.gpkg";
    check_layer_says(error_of([&] { town.read(); }), "No such file or directory",
                     "check inputs.structures.path with ogrinfo");
    write_text(town.folder / "link.gpkg",
               "<OGRVRTDataSource><OGRVRTLayer name=\"a\"><SrcDataSource>"
               "PG:host=127.0.0.1</SrcDataSource></OGRVRTLayer>"
               "</OGRVRTDataSource>");
    town.sources.structures.path = town.folder / "link.gpkg";
    check_layer_says(error_of([&] { town.read(); }), "it is a OGR_VRT file",
                     "run.remote_inputs = true");
    write_text(town.folder / "one_column.csv", "id\n1\n"); // a format that is taken, and no layer
    town.sources.structures.path = town.folder / "one_column.csv";
    check_layer_says(error_of([&] { town.read(); }), "no vector layer that can be read",
                     "check inputs.structures.path with ogrinfo");
}
