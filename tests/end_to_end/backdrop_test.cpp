// SPDX-License-Identifier: Apache-2.0

// A picture of the town's own under page and maps: it lies where its georeference puts it.
#include "io/gdal/handles.hpp"
#include "pdf_pages.hpp"
#include "support/change_runs.hpp"

#include <doctest/doctest.h>
#include <gdal.h>
#include <nlohmann/json.hpp>
#include <ogr_srs_api.h>

#include <array>
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

/// What the page carries as its backdrop.
nlohmann::json backdrop_of(const fs::path& page)
{
    const std::string html = text_of(page);
    const std::size_t at = html.find("\"backdrop\":{");
    REQUIRE(at != std::string::npos);
    const std::size_t begin = at + std::string_view{"\"backdrop\":"}.size();
    return nlohmann::json::parse(html.substr(begin, html.find('}', begin) + 1 - begin));
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
        must_succeed(run_fuelring({"report", runs.path("run"), "--quiet"}));
        const nlohmann::json backdrop = backdrop_of(runs.path("run") / "report.html");
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
        int red = 0;
        int blue = 0;
        for (int row = 0; row < still.rows; ++row)
            for (int col = 0; col < still.cols; ++col) {
                red += still.redness(col, row) > 90 ? 1 : 0;
                blue += still.redness(col, row) < -90 ? 1 : 0;
            }
        CHECK(red > still.cols * still.rows / 10);
        CHECK(blue > still.cols * still.rows / 20);
        for (const char* pdf : {"map.pdf", "brief.pdf"})
            CHECK(pages_of(runs.path("run") / pdf).front().find("Photograph: the town <2025>.") !=
                  std::string::npos);
        CHECK(fs::file_size(runs.path("run") / "report.html") < 3'000'000);
    }
}
