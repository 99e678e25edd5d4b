// SPDX-License-Identifier: Apache-2.0

// Layers in further formats and the STAC item of the rasters: what they hold, and that they belong
// to the published set like every other file.
#include "io/gdal/handles.hpp"
#include "support/hamlet.hpp"
#include "support/read_outputs.hpp"

#include <doctest/doctest.h>
#include <gdal.h>
#include <nlohmann/json.hpp>
#include <ogr_api.h>

#include <algorithm>
#include <cmath>
#include <set>

using namespace fuelring::test;
using fuelring::DatasetPtr;
using fuelring::FeaturePtr;
using nlohmann::json;

namespace {

/// The hamlet with copies in FlatGeobuf and a STAC item.
class CopiedHamlet : public Hamlet {
public:
    CopiedHamlet()
    {
        config("output", "copies") = R"(["flatgeobuf"])";
        config("output", "stac_item") = "true";
        config("inputs.fuel", "date") = toml_text("2026-07-15");
    }
};

/// Columns and rows of a layer that have a place as text, geometries as WKT, in order.
std::vector<std::string> rows_of(const fs::path& file, const char* layer)
{
    GDALAllRegister();
    const DatasetPtr data{
        GDALOpenEx(file.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, nullptr, nullptr, nullptr)};
    REQUIRE(data);
    OGRLayerH rows = GDALDatasetGetLayerByName(data.get(), layer);
    REQUIRE(rows);
    std::vector<std::string> all;
    OGR_L_ResetReading(rows);
    for (FeaturePtr row{OGR_L_GetNextFeature(rows)}; row; row.reset(OGR_L_GetNextFeature(rows))) {
        OGRGeometryH shape = OGR_F_GetGeometryRef(row.get());
        if (!shape)
            continue;
        std::string text;
        for (int k = 0; k < OGR_F_GetFieldCount(row.get()); ++k)
            text += std::string{OGR_Fld_GetNameRef(OGR_F_GetFieldDefnRef(row.get(), k))} + "=" +
                    OGR_F_GetFieldAsString(row.get(), k) + ";";
        char* wkt = nullptr;
        OGR_G_ExportToWkt(shape, &wkt);
        text += wkt;
        CPLFree(wkt);
        all.push_back(std::move(text));
    }
    std::sort(all.begin(), all.end());
    return all;
}

} // namespace

TEST_CASE(
    "copies of the layers have their rows that have a place and columns, and belong to the set")
{
    CopiedHamlet hamlet;
    must_succeed(hamlet.run("map"));
    for (const char* layer : {"structures", "addresses", "neighbourhoods"}) {
        const fs::path copy = hamlet.out() / (std::string{layer} + ".fgb");
        CHECK((rows_of(copy, layer) == rows_of(hamlet.out() / "fuelring.gpkg", layer)));
    }
    CHECK_FALSE(fs::exists(hamlet.out() / "layer_styles.fgb"));
    std::set<std::string> listed;
    const json run = json::parse(text_of(hamlet.out() / "run.json"));
    for (const json& file : run.at("files"))
        listed.insert(file.at("name").get<std::string>());
    for (const char* name :
         {"structures.fgb", "addresses.fgb", "neighbourhoods.fgb", "stac_item.json"})
        CHECK(listed.contains(name));
    must_succeed(run_fuelring({"verify", hamlet.out()}));
    CHECK(must_succeed(hamlet.run("map")).said("nothing changed"));

    hamlet.config("output", "copies") = "[]"; // a run without them leaves none
    hamlet.config("output", "stac_item") = "false";
    must_succeed(hamlet.run("map"));
    CHECK_FALSE(fs::exists(hamlet.out() / "structures.fgb"));
    CHECK_FALSE(fs::exists(hamlet.out() / "stac_item.json"));
}

TEST_CASE("shards merge into the same copies, byte for byte")
{
    CopiedHamlet hamlet;
    must_succeed(hamlet.run("map"));
    const auto shard = [&](const char* which) {
        must_succeed(hamlet.run("map", {"--shard", which, "--out", hamlet.folder() / "parts"}));
    };
    shard("1/2");
    shard("2/2");
    must_succeed(hamlet.run("merge", {hamlet.folder() / "parts/shard-1-of-2.part",
                                      hamlet.folder() / "parts/shard-2-of-2.part", "--out",
                                      hamlet.folder() / "merged"}));
    for (const char* name : {"structures.fgb", "addresses.fgb", "stac_item.json"})
        CHECK((text_of(hamlet.folder() / "merged" / name) == text_of(hamlet.out() / name)));
}

// No package here has the published JSON schemas: the fields are those that STAC 1.0.0 asks for
// (item-spec/item-spec.md, "Item fields", "Asset Object"; commons/common-metadata.md, "Date and
// Time Range") and the projection extension 1.1.0 ("Item Properties or Asset Fields").
TEST_CASE("the STAC item has every field that item and projection extension require")
{
    CopiedHamlet hamlet;
    must_succeed(hamlet.run("map"));
    const json item = json::parse(text_of(hamlet.out() / "stac_item.json"));
    CHECK(item.at("type") == "Feature");
    CHECK(item.at("stac_version") == "1.0.0");
    CHECK(item.at("id").get<std::string>().ends_with("-2026-07-15"));
    CHECK(item.at("stac_extensions") ==
          json{"https://stac-extensions.github.io/projection/v1.1.0/schema.json"});
    CHECK(item.at("links").is_array());

    const json& properties = item.at("properties");
    CHECK(properties.at("datetime").is_null()); // then a range is required
    CHECK(properties.at("start_datetime") == "2026-07-15T00:00:00Z");
    CHECK(properties.at("end_datetime") == "2026-07-15T23:59:59Z");
    CHECK(properties.at("proj:epsg") == 32611);
    CHECK(properties.at("proj:shape") == json{300, 300});
    CHECK(properties.at("proj:transform") == json{1., 0., 600000., 0., -1., 5600300., 0, 0, 1});
    CHECK(properties.at("proj:wkt2").get<std::string>().starts_with("PROJCRS["));

    const json& ring = item.at("geometry").at("coordinates").at(0);
    CHECK(item.at("geometry").at("type") == "Polygon");
    CHECK(ring.front() == ring.back());
    double twice_area = 0;
    for (std::size_t k = 0; k + 1 < ring.size(); ++k)
        twice_area += ring[k][0].get<double>() * ring[k + 1][1].get<double>() -
                      ring[k + 1][0].get<double>() * ring[k][1].get<double>();
    CHECK(twice_area > 0); // counter-clockwise (RFC 7946, 3.1.6)
    const json& box = item.at("bbox");
    REQUIRE(box.size() == 4);
    // 300 m at 50.5 degrees: 0.0027 degrees of latitude, 0.0042 of longitude.
    CHECK(std::abs(box[3].get<double>() - box[1].get<double>() - 0.0027) < 2e-4);
    CHECK(std::abs(box[2].get<double>() - box[0].get<double>() - 0.0042) < 2e-4);
    CHECK(box[0] < -115.5);
    CHECK(box[0] > -115.7);

    for (const char* name : {"priority", "fuel_used"}) {
        const json& asset = item.at("assets").at(name);
        CHECK(fs::exists(hamlet.out() / asset.at("href").get<std::string>()));
        CHECK(asset.at("type") == "image/tiff; application=geotiff; profile=cloud-optimized");
        CHECK(asset.at("roles") == json{"data"});
    }
}
