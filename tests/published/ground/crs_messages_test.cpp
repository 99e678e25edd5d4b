// SPDX-License-Identifier: Apache-2.0

// A CRS that is missing, another one and an equivalent one are three messages, and coordinates that
// are no place end the run with one that names the feature.
#include "io/gdal/handles.hpp"
#include "support/hamlet.hpp"
#include "support/read_outputs.hpp"

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include <cmath>
#include <limits>

using namespace fuelring::test;

namespace {

constexpr const char* house_near_a1 =
    "POLYGON ((600104 5600140, 600116 5600140, 600116 5600152, 600104 5600152, 600104 5600140))";

/// Puts the first vertex of a feature where nothing is.
void move_first_vertex(const fs::path& layer_file, std::int64_t fid, double x, double y)
{
    fuelring::DatasetPtr data{
        GDALOpenEx(layer_file.c_str(), GDAL_OF_VECTOR | GDAL_OF_UPDATE, nullptr, nullptr, nullptr)};
    OGRLayerH layer = GDALDatasetGetLayer(data.get(), 0);
    fuelring::FeaturePtr feature{OGR_L_GetFeature(layer, fid)};
    REQUIRE(feature);
    OGRGeometryH shape = OGR_F_GetGeometryRef(feature.get());
    while (OGR_G_GetGeometryCount(shape) > 0)
        shape = OGR_G_GetGeometryRef(shape, 0);
    OGR_G_SetPoint_2D(shape, 0, x, y);
    CPLPushErrorHandler(CPLQuietErrorHandler); // GDAL cannot write NaN as the layer's extent
    const OGRErr failure = OGR_L_SetFeature(layer, feature.get());
    feature.reset();
    data.reset();
    CPLPopErrorHandler();
    REQUIRE(failure == OGRERR_NONE);
}

void check_refused(const ProgramResult& run, const std::vector<std::string>& words)
{
    INFO(run.err);
    CHECK(run.exit_code == 3);
    const std::vector<std::string> errors = run.errors();
    REQUIRE(errors.size() == 1);
    for (const std::string& word : words) {
        CAPTURE(word);
        CHECK(errors[0].find(word) != std::string::npos);
    }
}

/// An input without a CRS is refused, and taken once the configuration names its CRS.
ProgramResult run_with_named_crs(Hamlet& hamlet, const std::string& input, const fs::path& bare)
{
    hamlet.config(input, "path") = toml_text(bare);
    check_refused(hamlet.run("map"), {bare.filename(), "has no coordinate reference system",
                                      input + ".crs = \"EPSG:...\""});
    hamlet.config(input, "crs") = "'EPSG:32611'";
    return must_succeed(hamlet.run("map", {"--verbose"}));
}

} // namespace

TEST_CASE("a raster without a CRS is an error that names the key which gives one")
{
    Hamlet hamlet;
    const fs::path bare = hamlet.folder() / "bare.tif";
    make_fuel(bare, {hamlet_cells, hamlet_cells, hamlet_transform, 0,
                     [](std::int64_t, std::int64_t) { return int{grass}; }});
    run_with_named_crs(hamlet, "inputs.fuel", bare);
}

TEST_CASE("footprints without a CRS are an error that names the key which gives one")
{
    Hamlet hamlet;
    const fs::path bare = hamlet.folder() / "bare.gpkg";
    make_layer(bare, "GPKG", "structure_id", 0, {{"B-1", house_near_a1}});
    const ProgramResult run = run_with_named_crs(hamlet, "inputs.structures", bare);
    CHECK(run.said("by the configuration, the same as the raster's"));
}

TEST_CASE("footprints in another CRS are reprojected, and both are named")
{
    Hamlet hamlet;
    const fs::path other = hamlet.folder() / "other.gpkg";
    reproject_layer(hamlet.folder() / "structures.gpkg", other, "GPKG", 3978);
    hamlet.config("inputs.structures", "path") = toml_text(other);
    const ProgramResult run = must_succeed(hamlet.run("map", {"--verbose"}));
    CHECK(run.said("inputs.structures: NAD83 / Canada Atlas Lambert (EPSG:3978) by the file, "
                   "reprojected to WGS 84 / UTM zone 11N (EPSG:32611)"));
    const auto crs = nlohmann::json::parse(text_of(hamlet.out() / "run.json")).at("crs");
    CHECK(crs.at("rule") == "grid_stands");
    CHECK(crs.at("layers").size() == 2);
}

TEST_CASE("footprints in an equivalent CRS are taken as the same, and both are named")
{
    // The same projection without its code, as many tools write it.
    Hamlet hamlet;
    const fs::path bare = hamlet.folder() / "bare.gpkg";
    make_layer(bare, "GPKG", "structure_id", 0, {{"B-1", house_near_a1}});
    hamlet.config("inputs.structures", "path") = toml_text(bare);
    hamlet.config("inputs.structures", "crs") = "'+proj=utm +zone=11 +datum=WGS84 +units=m'";
    const ProgramResult run = must_succeed(hamlet.run("map", {"--verbose"}));
    CHECK(run.said("taken as the same as WGS 84 / UTM zone 11N (EPSG:32611)"));
    CHECK(sql_number(hamlet.out() / "fuelring.gpkg", "select footprint_m2 from structures") == 144);
}

TEST_CASE("coordinates that are no place end the run with a message that names the feature")
{
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    constexpr double infinite = std::numeric_limits<double>::infinity();
    struct Case {
        std::string_view why;
        int epsg;
        double x, y; ///< what becomes of the first vertex of the second feature
        std::string_view words;
    };
    const Case cases[] = {
        {"NaN", 32611, nan, 5600140, "feature 2: a vertex cannot be placed"},
        {"infinite", 32611, infinite, 5600140, "feature 2: a vertex cannot be placed"},
        {"NaN in degrees", 4326, -115.5873, nan, "feature 2: a vertex cannot be placed"},
        {"latitude 5000", 4326, -115.5873, 5000, "feature 2: a vertex cannot be placed"},
        {"off the earth", 32611, 1e9, 5600140, "feature 2: a vertex cannot be placed"},
        {"far outside the area of the grid", 32611, 9e7, 5600146,
         "lies outside the area of WGS 84 / UTM zone 11N (EPSG:32611)"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        Hamlet hamlet;
        const fs::path metres = hamlet.folder() / "metres.gpkg";
        make_layer(metres, "GPKG", "structure_id", 32611,
                   {{"B-1", house_near_a1}, {"B-2", house_near_a1}});
        const fs::path odd = hamlet.folder() / "odd.gpkg";
        reproject_layer(metres, odd, "GPKG", c.epsg);
        move_first_vertex(odd, 2, c.x, c.y);
        hamlet.config("inputs.structures", "path") = toml_text(odd);
        check_refused(hamlet.run("map"), {"odd.gpkg", std::string{c.words}});
        CHECK_FALSE(fs::exists(hamlet.out()));
    }
}
