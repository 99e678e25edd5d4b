// SPDX-License-Identifier: Apache-2.0

// A picture of the town's own under page and maps: it lies where its georeference puts it.
#include "io/gdal/handles.hpp"
#include "pdf_pages.hpp"
#include "support/change_runs.hpp"

#include <doctest/doctest.h>
#include <gdal.h>
#include <nlohmann/json.hpp>
#include <ogr_srs_api.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <functional>

using namespace fuelring::test;

namespace {

/// Red where `is_red`, blue elsewhere.
void make_photograph(const fs::path& path, int epsg, std::array<double, 6> transform, int cols,
                     int rows, const std::function<bool(double x, double y)>& is_red)
{
    GDALAllRegister();
    const fuelring::DatasetPtr file{
        GDALCreate(GDALGetDriverByName("GTiff"), path.c_str(), cols, rows, 3, GDT_Byte, nullptr)};
    REQUIRE(file);
    OGRSpatialReferenceH srs = OSRNewSpatialReference(nullptr);
    REQUIRE(OSRImportFromEPSG(srs, epsg) == OGRERR_NONE);
    GDALSetSpatialRef(file.get(), srs);
    OSRDestroySpatialReference(srs);
    GDALSetGeoTransform(file.get(), transform.data());
    for (int band = 1; band <= 3; ++band) {
        std::vector<std::uint8_t> cells;
        for (int row = 0; row < rows; ++row)
            for (int col = 0; col < cols; ++col) {
                const double x = transform[0] + (col + 0.5) * transform[1];
                const double y = transform[3] + (row + 0.5) * transform[5];
                cells.push_back(band == (is_red(x, y) ? 1 : 3) ? 220 : 20);
            }
        REQUIRE(GDALRasterIO(GDALGetRasterBand(file.get(), band), GF_Write, 0, 0, cols, rows,
                             cells.data(), cols, rows, GDT_Byte, 0, 0) == CE_None);
    }
}

struct Colours {
    int cols = 0;
    int rows = 0;
    std::array<std::vector<std::uint8_t>, 3> bands;

    explicit Colours(const std::string& path)
    {
        const fuelring::DatasetPtr file{GDALOpen(path.c_str(), GA_ReadOnly)};
        REQUIRE(file);
        cols = GDALGetRasterXSize(file.get());
        rows = GDALGetRasterYSize(file.get());
        for (int k = 0; k < 3; ++k) {
            bands[static_cast<std::size_t>(k)].resize(static_cast<std::size_t>(cols * rows));
            REQUIRE(GDALRasterIO(GDALGetRasterBand(file.get(), k + 1), GF_Read, 0, 0, cols, rows,
                                 bands[static_cast<std::size_t>(k)].data(), cols, rows, GDT_Byte, 0,
                                 0) == CE_None);
        }
    }
    /// Red less blue.
    int redness(int col, int row) const
    {
        const auto at = static_cast<std::size_t>(row * cols + col);
        return bands[0][at] - bands[2][at];
    }
};

/// The page's block of data.
nlohmann::json data_of(const fs::path& page)
{
    const std::string html = text_of(page);
    const std::string_view head = "id=\"data\">";
    const std::size_t begin = html.find(head);
    REQUIRE(begin != std::string::npos);
    return nlohmann::json::parse(
        html.substr(begin + head.size(), html.find("</script>", begin) - begin - head.size()));
}

/// Pixels of which `is` is true.
int count_of(const Colours& picture, const std::function<bool(const Colours&, int, int)>& is)
{
    int count = 0;
    for (int row = 0; row < picture.rows; ++row)
        for (int col = 0; col < picture.cols; ++col)
            count += is(picture, col, row) ? 1 : 0;
    return count;
}

/// A page of a PDF as a picture.
Colours drawn(const fs::path& pdf, int page)
{
    const std::string to = pdf.string() + ".page";
    REQUIRE(std::system(fmt::format("pdftoppm -r 60 -f {0} -l {0} -singlefile -png '{1}' '{2}'",
                                    page, pdf.string(), to)
                            .c_str()) == 0);
    return Colours{to + ".png"};
}

} // namespace

TEST_CASE("a backdrop in any coordinate system lies under the maps where it belongs")
{
    struct Case {
        std::string_view why;
        int epsg;
        std::array<double, 6> transform;
        int cols, rows;
        double red_west_of; ///< in its own coordinates
    };
    // The line in degrees: gdaltransform -s_srs EPSG:32611 -t_srs EPSG:4326 of (600030, 5600000). A
    // meridian leans by 1.1 degrees against the grid there (from memory: the difference of
    // longitude to the zone's middle times the sine of the latitude), 4 m over the half of the
    // scene.
    const Case cases[] = {
        {"the system of the run, cells of 2 m",
         32611,
         {599500, 2, 0, 5600500, 0, -2},
         500,
         500,
         scene_x + 30},
        {"degrees", 4326, {-115.6, 2e-5, 0, 50.56, 0, -1.5e-5}, 2000, 2000, -115.588237965},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        const ChangeRuns runs;
        make_photograph(runs.path("photograph.tif"), c.epsg, c.transform, c.cols, c.rows,
                        [&](double x, double) { return x < c.red_west_of; });
        Scene scene{{square_house("H", 0, 0), square_house("K", 60, 10)},
                    [](double, double y) { return y > 40 ? int{conifer} : int{grass}; }};
        scene.backdrop = runs.path("photograph.tif");
        runs.map("run", scene);
        must_succeed(run_fuelring({"report", runs.path("run"), "--sheets", "all", "--quiet"}));
        const nlohmann::json backdrop = data_of(runs.path("run") / "report.html").at("backdrop");
        CHECK(backdrop.at("credit") == "Photograph: the town <2025>");
        const std::string url = backdrop.at("image").get<std::string>();
        const std::string file = runs.path("backdrop.jpg");
        write_text(runs.path("backdrop.b64"), url.substr(url.find(',') + 1));
        REQUIRE(
            std::system(("base64 -d '" + runs.path("backdrop.b64").string() + "' > '" + file + "'")
                            .c_str()) == 0);
        const Colours picture{file};
        const auto box = backdrop.at("box").get<std::vector<double>>();
        // The page's plane is in metres from the corner of cell (0, 0) of the scene's raster.
        const double line = (scene_half_m + 30 - box[0]) / (box[2] - box[0]) * picture.cols;
        for (const int row : {2, picture.rows / 2, picture.rows - 3}) {
            CHECK(picture.redness(static_cast<int>(line) - 12, row) > 150);
            CHECK(picture.redness(static_cast<int>(line) + 12, row) < -150);
        }
        // On paper: paler, but there.
        const Colours still{(runs.path("run") / "map.png").string()};
        const auto is_red = [](const Colours& p, int col, int row) {
            return p.redness(col, row) > 90;
        };
        const auto is_blue = [](const Colours& p, int col, int row) {
            return p.redness(col, row) < -90;
        };
        CHECK(count_of(still, is_red) > still.cols * still.rows / 10);
        CHECK(count_of(still, is_blue) > still.cols * still.rows / 20);
        // K stands 30 m east of the line, H 30 m west of it: more of the sheet is red, or blue.
        const std::vector<std::string> pages = pages_of(runs.path("run") / "sheets.pdf");
        for (const int page : {1, 2}) {
            const bool is_k = pages.at(static_cast<std::size_t>(page - 1)).find("Building K.") !=
                              std::string::npos;
            const Colours sheet = drawn(runs.path("run") / "sheets.pdf", page);
            const int red = count_of(sheet, is_red);
            const int blue = count_of(sheet, is_blue);
            CHECK(std::min(red, blue) > sheet.cols * sheet.rows / 200);
            CHECK((blue > red) == is_k);
        }
        for (const char* pdf : {"map.pdf", "brief.pdf", "sheets.pdf"})
            CHECK(pages_of(runs.path("run") / pdf).front().find("Photograph: the town <2025>.") !=
                  std::string::npos);
        CHECK(fs::file_size(runs.path("run") / "report.html") < 3'000'000);
    }
}

TEST_CASE("streets and water in any coordinate system lie below page, maps and sheets")
{
    const ChangeRuns runs;
    Scene scene{{square_house("H", 0, 0), square_house("K", 60, 10)},
                [](double, double y) { return y > 40 ? int{conifer} : int{grass}; }};
    make_layer(runs.path("streets.gpkg"), "GPKG", "name", scene.epsg,
               {{"Fern Way", fmt::format("LINESTRING ({0} {1}, {0} {2})", scene_x + 30,
                                         scene_y - 900000, scene_y + 900)}});
    make_layer(runs.path("ways.gpkg"), "GPKG", "name", scene.epsg,
               {{"Fern Way", fmt::format("LINESTRING ({0} {1}, {0} {2})", scene_x + 30,
                                         scene_y - 900, scene_y + 900)}});
    reproject_layer(runs.path("ways.gpkg"), runs.path("ways.geojson"), "GeoJSON", 4326);
    make_layer(runs.path("water.gpkg"), "GPKG", "name", scene.epsg,
               {ground("Far Lake", -80, -80, -40, 20)});
    for (const char* streets : {"streets.gpkg", "ways.geojson"}) {
        CAPTURE(streets);
        scene.context = {{runs.path(streets), "streets"}, {runs.path("water.gpkg"), "water"}};
        runs.map("run", scene);
        must_succeed(run_fuelring({"report", runs.path("run"), "--sheets", "all", "--quiet"}));
        const nlohmann::json context = data_of(runs.path("run") / "report.html").at("context");
        CHECK(context.at("credit") == "Lines: the town");
        REQUIRE(context.at("layers").size() == 2);
        CHECK(context.at("layers")[0].at("kind") == "water"); // below the streets
        // Decimetres from the corner of the scene's raster, each vertex from the one before it.
        const auto way = context.at("layers")[1].at("lines").at(0).get<std::vector<double>>();
        REQUIRE(way.size() >= 4);
        CHECK(way[0] / 10 == doctest::Approx(scene_half_m + 30).epsilon(0.001));
        CHECK(std::abs(way[2]) <= 1);
        CHECK(std::abs(way[3]) < 10 * 1000); // cut to what is shown
        const auto lake =
            context.at("layers")[0].at("areas").at(0).at(0).get<std::vector<double>>();
        CHECK(lake.size() == 8);
        double west = lake[0];
        double x = 0;
        for (std::size_t k = 0; k < lake.size(); k += 2) {
            x += lake[k];
            west = std::min(west, x);
        }
        CHECK(west / 10 == doctest::Approx(scene_half_m - 80).epsilon(0.01));

        const auto has = [](double red, double green, double blue) {
            return [=](const Colours& p, int col, int row) {
                const auto at = static_cast<std::size_t>(row * p.cols + col);
                return std::abs(p.bands[0][at] - red) < 3 && std::abs(p.bands[1][at] - green) < 3 &&
                       std::abs(p.bands[2][at] - blue) < 3;
            };
        };
        const auto street = has(0xb7, 0xbc, 0xbf); // the table of colours has these
        const auto water = has(0xd2, 0xdb, 0xe3);
        const Colours still{(runs.path("run") / "map.png").string()};
        const Colours sheet = drawn(runs.path("run") / "sheets.pdf", 1);
        CHECK(count_of(still, street) > still.rows / 3);
        CHECK(count_of(still, water) > 5000);
        CHECK(count_of(sheet, water) > 200);
        for (const char* pdf : {"map.pdf", "brief.pdf", "sheets.pdf"}) {
            const std::string words = pages_of(runs.path("run") / pdf).front();
            CHECK(words.find("Lines: the town.") != std::string::npos);
            CHECK((words.find("streets") != std::string::npos || pdf == std::string{"brief.pdf"}));
        }
        fs::remove_all(runs.path("run"));
    }
}

TEST_CASE("nothing of the town's own lies below the public edition")
{
    const ChangeRuns runs;
    std::vector<Shape> homes;
    for (int k = 0; k < 6; ++k)
        homes.push_back(square_house(fmt::format("H{}", k), 25 * k, 0));
    Scene scene{homes, [](double, double y) { return y > 40 ? int{conifer} : int{grass}; }};
    make_layer(runs.path("streets.gpkg"), "GPKG", "name", scene.epsg,
               {{"Fern Way", fmt::format("LINESTRING ({0} {1}, {0} {2})", scene_x + 30,
                                         scene_y - 90, scene_y + 90)}});
    scene.context = {{runs.path("streets.gpkg"), "streets"}};
    runs.map("run", scene);
    must_succeed(run_fuelring({"report", runs.path("run"), "--public", "--quiet"}));
    CHECK(!data_of(runs.path("run") / "public" / "report.html").contains("context"));
    CHECK(pages_of(runs.path("run") / "public" / "map.pdf").front().find("Lines: the town") ==
          std::string::npos);
}
