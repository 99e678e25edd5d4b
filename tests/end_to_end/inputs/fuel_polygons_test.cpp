// SPDX-License-Identifier: Apache-2.0

// The fuel as a layer of polygons: against the raster that the polygons were made of, and what of
// it reruns, shards and messages know.
#include "io/gdal/handles.hpp"
#include "support/hamlet.hpp"
#include "support/read_outputs.hpp"

#include <doctest/doctest.h>
#include <gdal.h>
#include <gdal_alg.h>
#include <nlohmann/json.hpp>
#include <ogr_api.h>

using namespace fuelring::test;
using fuelring::DatasetPtr;
using nlohmann::json;

namespace {

/// One polygon for each patch of cells of one code; none where the raster has no data.
void polygonise(const fs::path& raster, const fs::path& layer)
{
    GDALAllRegister();
    const DatasetPtr from{GDALOpen(raster.c_str(), GA_ReadOnly)};
    const DatasetPtr to{
        GDALCreate(GDALGetDriverByName("GPKG"), layer.c_str(), 0, 0, 0, GDT_Unknown, nullptr)};
    REQUIRE(from);
    REQUIRE(to);
    OGRLayerH stands = GDALDatasetCreateLayer(to.get(), "stands", GDALGetSpatialRef(from.get()),
                                              wkbPolygon, nullptr);
    const fuelring::FieldDefnPtr field{OGR_Fld_Create("code", OFTInteger)};
    REQUIRE(OGR_L_CreateField(stands, field.get(), 1) == OGRERR_NONE);
    GDALRasterBandH band = GDALGetRasterBand(from.get(), 1);
    REQUIRE(GDALPolygonize(band, GDALGetMaskBand(band), stands, 0, nullptr, nullptr, nullptr) ==
            CE_None);
}

void use_polygons(ConfigFile& config, const fs::path& layer, const std::string& column,
                  const std::string& cell_m)
{
    config("inputs.fuel", "path") = toml_text(layer);
    config("inputs.fuel", "column") = toml_text(column);
    config("inputs.fuel", "cell_m") = cell_m;
}

/// The hamlet, its raster replaced by three strips.
class DrawnHamlet : public Hamlet {
public:
    explicit DrawnHamlet(const std::string& column = "code",
                         const std::vector<std::string>& values = {"1", "3", "5"})
    {
        draw(column, values, 280);
        use_polygons(config, layer(), column, "1");
    }
    fs::path layer() const { return folder() / "stands.geojson"; }
    void draw(const std::string& column, const std::vector<std::string>& values,
              double grass_end) const
    {
        fs::remove(layer());
        make_layer(layer(), "GeoJSON", column, 32611,
                   {{values[0], rectangle_wkt(600000, 5600000, 600100, 5600300)},
                    {values[1], rectangle_wkt(600100, 5600000, 600110, 5600300)},
                    {values[2], rectangle_wkt(600110, 5600000, 600000 + grass_end, 5600300)}});
    }
};

} // namespace

TEST_CASE("the sample drawn as polygons gives the figures of its raster, bit for bit, "
          "for any workers and tiles")
{
    const TempFolder folder;
    polygonise(sample_data() / "fuel.tif", folder.path() / "stands.gpkg");
    std::map<std::string, fs::path> out;
    for (const std::string kind : {"raster", "polygons", "polygons in small tiles"}) {
        ConfigFile config = sample_config(sample_data());
        config.tables.erase("inputs.elevation");
        if (kind != "raster")
            use_polygons(config, folder.path() / "stands.gpkg", "code", "1");
        if (kind == "polygons in small tiles") {
            config("run", "tile_cells") = "64";
            config("run", "jobs") = "3";
        }
        out[kind] = folder.path() / kind;
        config("output", "dir") = toml_text(out[kind]);
        config.write(folder.path() / "run.toml");
        must_succeed(run_fuelring({"map", folder.path() / "run.toml"}));
    }
    const fs::path& raster = out["raster"];
    for (const char* kind : {"polygons", "polygons in small tiles"}) {
        CAPTURE(kind);
        const fs::path& drawn = out[kind];
        CHECK((dump_of(raster / "fuelring.gpkg") == dump_of(drawn / "fuelring.gpkg")));
        for (const char* table : {"addresses.csv", "neighbourhoods.csv"})
            CHECK((text_of(raster / table) == text_of(drawn / table)));
        for (const char* band : {"priority.tif", "fuel_used.tif"})
            CHECK(read_band(raster / band).same_cells(read_band(drawn / band)));
    }
}

TEST_CASE("strips drawn as polygons are the hamlet, as codes, per cent or fractions")
{
    const Hamlet raster;
    must_succeed(raster.run("map"));
    const DrawnHamlet codes;
    must_succeed(codes.run("map"));
    CHECK((text_of(codes.out() / "addresses.csv") == text_of(raster.out() / "addresses.csv")));

    const json run = json::parse(text_of(codes.out() / "run.json"));
    const json& filter = run.at("configuration").at("filters").at("inputs.fuel").at("polygons");
    CHECK(filter.at("cell_m") == 1);
    CHECK(filter.at("column") == "code");
    const std::string description = run.at("inputs").at("inputs.fuel.path").at("description");
    CHECK(description.find("3 polygons by column code") != std::string::npos);
    CHECK(description.find("the code of the largest part") != std::string::npos);
    const std::string decision = run.at("crs").at("decision");
    CHECK(decision.find("fuel polygons are burnt into cells of 1 m") != std::string::npos);

    for (const auto& [values, column] :
         {std::pair{std::vector<std::string>{"100", "50", "0"}, "percent"},
          std::pair{std::vector<std::string>{"1", "0.5", "0"}, "fraction"}}) {
        DrawnHamlet shares{"cover", values};
        shares.config("inputs.fuel", "values") = toml_text(column);
        shares.config.tables["inputs.fuel"].erase("classes");
        must_succeed(shares.run("map"));
        const Csv a = read_csv(shares.out() / "addresses.csv");
        const Csv b = read_csv(raster.out() / "addresses.csv");
        for (std::size_t row = 0; row < b.rows.size(); ++row)
            CHECK(a.cell(row, "exposure") == b.cell(row, "exposure"));
    }
}

TEST_CASE("a rerun sees a polygon that moved, and shards of polygons make the whole run")
{
    DrawnHamlet hamlet;
    must_succeed(hamlet.run("map"));
    CHECK(must_succeed(hamlet.run("map")).said("nothing changed"));
    const std::string first = text_of(hamlet.out() / "addresses.csv");
    hamlet.draw("code", {"5", "3", "1"}, 280);
    must_succeed(hamlet.run("map"));
    const std::string second = text_of(hamlet.out() / "addresses.csv");
    CHECK((second != first));
    const auto shard = [&](const char* which) {
        must_succeed(hamlet.run("map", {"--shard", which, "--out", hamlet.folder() / "parts"}));
    };
    shard("1/2");
    shard("2/2");
    must_succeed(hamlet.run("merge", {hamlet.folder() / "parts/shard-1-of-2.part",
                                      hamlet.folder() / "parts/shard-2-of-2.part", "--out",
                                      hamlet.folder() / "merged"}));
    CHECK((text_of(hamlet.folder() / "merged/addresses.csv") == second));
}

TEST_CASE("what does not do as polygons is refused with file, feature and key")
{
    DrawnHamlet hamlet{"code", {"1", "pine", "5"}};
    ProgramResult result = hamlet.run("map");
    CHECK(result.exit_code == 3);
    CHECK(result.said("stands.geojson"));
    CHECK(result.said("'pine' in column code is no class code"));

    hamlet.draw("code", {"1", "3", "77"}, 280);
    result = hamlet.run("map");
    CHECK(result.exit_code == 3);
    CHECK(result.said("77"));

    hamlet.draw("code", {"1", "3", "5"}, 280);
    hamlet.config("inputs.fuel", "band") = "2";
    result = hamlet.run("map");
    CHECK(result.exit_code == 2);
    CHECK(result.said("polygons have no band"));

    hamlet.config.tables["inputs.fuel"].erase("band");
    hamlet.config.tables["inputs.fuel"].erase("cell_m");
    result = hamlet.run("map");
    CHECK(result.exit_code == 2);
    CHECK(result.said("a raster has no column"));
}
