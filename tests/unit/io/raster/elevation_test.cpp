// SPDX-License-Identifier: Apache-2.0
#include "io/raster/elevation_raster.hpp"
#include "unit/io/data_files.hpp"

#include <doctest/doctest.h>
#include <gdal_priv.h>

#include <cmath>
#include <limits>
#include <thread>

using namespace fuelring;
using namespace fuelring::test;
using doctest::Approx;

namespace {

constexpr CellRect everything{-5, -5, 100, 100};

Crs utm()
{
    return Crs::from_user_input("EPSG:32632", "test");
}

/// Readers look at the system of the analysis alone.
AnalysisGrid grid_in(const Crs& crs)
{
    return {Grid{metre_cells, 1, 1}, crs};
}

/// The heights of a whole file in metres, NaN as -9.
std::vector<double> heights(const ElevationSource& source)
{
    const ElevationRaster raster{source, grid_in(utm())};
    ElevationRaster::Reader reader{raster};
    std::vector<double> found = reader.read(everything).height_m;
    for (double& height : found)
        if (std::isnan(height))
            height = -9;
    return found;
}

/// Changes the first band of a file.
void change(const std::string& path, const std::function<void(GDALRasterBand&)>& what)
{
    const GDALDatasetUniquePtr file{GDALDataset::Open(path.c_str(), GDAL_OF_UPDATE)};
    REQUIRE(file);
    what(*file->GetRasterBand(1));
}

} // namespace

TEST_CASE("heights of every cell type are read, and nodata is no height")
{
    const TempFolder folder;
    for (const GDALDataType type : {GDT_Byte, GDT_UInt16, GDT_Int16, GDT_UInt32, GDT_Int32,
                                    GDT_UInt64, GDT_Int64, GDT_Float32, GDT_Float64}) {
        CAPTURE(std::string{GDALGetDataTypeName(type)});
        const std::string path = folder / "dem.tif";
        write_raster(path, {.cols = 3, .rows = 2, .type = type, .nodata = 99},
                     {10, 20, 99, 40, 50, 60});
        CHECK(heights({.path = path}) == std::vector<double>{10, 20, -9, 40, 50, 60});
    }
    // A nodata value that Float32 holds only nearly, as many files have it.
    const std::string path = folder / "lowest.tif";
    const double lowest = -3.4028234663852886e38;
    write_raster(path, {.cols = 2, .rows = 1, .type = GDT_Float32, .nodata = -3.4028234e38},
                 {lowest, 5});
    CHECK(heights({.path = path}) == std::vector<double>{-9, 5});
}

TEST_CASE("what is not finite, hidden by a mask or no ground of this earth is no height")
{
    const TempFolder folder;
    const std::string path = folder / "dem.tif";
    const double inf = std::numeric_limits<double>::infinity();
    write_raster(path,
                 {.cols = 4, .rows = 2, .type = GDT_Float32, .mask = {1, 1, 1, 1, 1, 1, 1, 0}},
                 {100, inf, -inf, std::nan(""), 200, -32'768, 12'000, 300});
    CHECK(heights({.path = path}) == std::vector<double>{100, -9, -9, -9, 200, -9, -9, -9});
    const ElevationRaster raster{{.path = path}, grid_in(utm())};
    ElevationRaster::Reader reader{raster};
    reader.read({0, 0, 4, 1}); // what is not finite is nothing to warn of
    CHECK_FALSE(reader.met_impossible());
    reader.read({0, 1, 2, 1});
    CHECK(reader.met_impossible());
    CHECK_FALSE(reader.met_impossible()); // said once
}

TEST_CASE("scale and offset of the band and its unit make metres")
{
    const TempFolder folder;
    const std::string path = folder / "dem.tif";
    write_raster(path, {.cols = 2, .rows = 1, .type = GDT_Int16, .nodata = -1}, {1000, -1});
    struct Case {
        std::string_view why;
        const char* in_file;
        std::optional<HeightUnit> configured;
        double metres;
        std::string_view reason;
    };
    constexpr double survey_foot = 1200.0 / 3937.0;
    const Case cases[] = {
        {"no unit", "", {}, 1, "assumed: the file names no unit"},
        {"metres", "metre", {}, 1, "by the file"},
        {"feet", "ft", {}, 0.3048, "by the file"},
        {"survey feet", "US survey foot", {}, survey_foot, "by the file"},
        {"survey feet by code", "us-ft", {}, survey_foot, "by the file"},
        {"unknown", "fathom", {}, 1, "assumed: the file's unit 'fathom' is not known"},
        {"the configuration wins", "metre", HeightUnit::foot, 0.3048, "by the configuration"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        change(path, [&](GDALRasterBand& band) {
            band.SetUnitType(c.in_file);
            band.SetScale(0.1);
            band.SetOffset(50);
        });
        const ElevationSource source{.path = path, .unit = c.configured};
        CHECK(heights(source)[0] == Approx(150 * c.metres).epsilon(1e-15));
        CHECK(heights(source)[1] == -9);
        const HeightUnitFound found = ElevationRaster{source, grid_in(utm())}.unit();
        CHECK(found.reason == c.reason);
        CHECK(found.assumed == c.reason.starts_with("assumed"));
    }
}

TEST_CASE("a block that the file leaves out is no ground of height 0")
{
    const TempFolder folder;
    const std::string path = folder / "sparse.tif";
    write_raster(path,
                 {.cols = 40,
                  .rows = 16,
                  .type = GDT_Float32,
                  .options = {"TILED=YES", "BLOCKXSIZE=16", "BLOCKYSIZE=16", "SPARSE_OK=TRUE"}},
                 {});
    change(path, [](GDALRasterBand& band) {
        std::vector<float> block(16 * 16, 700);
        REQUIRE(band.WriteBlock(1, 0, block.data()) == CE_None);
    });
    const std::vector<double> found = heights({.path = path});
    CHECK(found[15] == -9);
    CHECK(found[16] == 700);
    CHECK(found[31] == 700);
    CHECK(found[32] == -9);
    CHECK(found[15 * 40 + 39] == -9);
}

TEST_CASE("cells are looked up where they stand, in any CRS")
{
    const TempFolder folder;
    const Crs analysis = utm();
    const Grid fuel{metre_cells, 1000, 1000};
    const CellFrame frame{400, 300};
    struct Case {
        std::string_view why;
        int epsg;
        std::array<double, 6> geotransform;
        double tolerance_m;
    };
    // Straight within 60 m: 60^2 x tan(50 degrees) / (2 x 6.37e6 m) = 0.34 mm.
    const Case cases[] = {
        {"its own", utm32, {499'000, 5, 0, 5'541'000, 0, -5}, 1e-8},
        {"turned", utm32, {499'000, 4, 3, 5'541'000, 3, -4}, 1e-8},
        {"the next zone", 32631, {924'000, 5, 0, 5'553'000, 0, -5}, 4e-4},
        {"degrees", 4326, {8.99, 1e-4, 0, 50.02, 0, -1e-4}, 4e-4},
        {"Web Mercator", 3857, {1'000'500, 8, 0, 6'449'000, 0, -8}, 4e-4},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        const std::string path = folder / "dem.tif";
        write_raster(path,
                     {.cols = 4,
                      .rows = 4,
                      .type = GDT_Float32,
                      .epsg = c.epsg,
                      .geotransform = c.geotransform},
                     {});
        const ElevationRaster raster{{.path = path}, grid_in(analysis)};
        ElevationRaster::Reader reader{raster};
        const auto lattice = reader.lattice_at(fuel, frame, {3, -7}, 60);
        REQUIRE(lattice);
        const Crs crs = Crs::from_user_input("EPSG:" + std::to_string(c.epsg), "test");
        const Reprojection there{crs, analysis};
        const auto& g = c.geotransform;
        for (const Point p : {Point{3, -7}, Point{50, 20}, Point{-40, -40}}) {
            const Point near = lattice->cell_of(p);
            const double col = std::round(near.x);
            const double row = std::round(near.y);
            Point map{g[0] + g[1] * (col + 0.5) + g[2] * (row + 0.5),
                      g[3] + g[4] * (col + 0.5) + g[5] * (row + 0.5)};
            REQUIRE(there.apply(map));
            const Point off =
                fuel.to_local(frame, map) -
                lattice->centre(static_cast<std::int64_t>(col), static_cast<std::int64_t>(row));
            CHECK(std::hypot(off.x, off.y) < c.tolerance_m);
        }
    }
}

TEST_CASE("a georeference that is nonsense at a place has no cells there")
{
    const TempFolder folder;
    const Grid fuel{metre_cells, 1000, 1000};
    const std::string path = folder / "dem.tif";
    for (const std::array<double, 6>& g : {std::array<double, 6>{0, 1e-9, 0, 0, 0, -1e-9},
                                           std::array<double, 6>{0, 1e300, 0, 0, 0, -1},
                                           std::array<double, 6>{0, 1, 1, 0, 1, 1.0000000001}}) {
        write_raster(path, {.type = GDT_Float32, .geotransform = g}, {});
        const ElevationRaster raster{{.path = path}, grid_in(utm())};
        const ElevationRaster::Reader reader{raster};
        CHECK_FALSE(reader.lattice_at(fuel, {10, 10}, {0, 0}, 50));
    }
}

TEST_CASE("an elevation raster that is none is refused in the words of its own key")
{
    const TempFolder folder;
    struct Case {
        std::string_view why;
        RasterSpec spec;
        std::string_view says, remedy;
    };
    const Case cases[] = {
        {"complex cells",
         {.type = GDT_CFloat32},
         "complex numbers, not heights",
         "inputs.elevation.band"},
        {"no CRS",
         {.type = GDT_Float32, .epsg = 0},
         "no coordinate reference system",
         "inputs.elevation.crs"},
        {"too few bands",
         {.type = GDT_Float32},
         "no band 2: the raster has 1",
         "inputs.elevation.band"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        const std::string path = folder / "dem.tif";
        write_raster(path, c.spec, {});
        const int band = c.why == "too few bands" ? 2 : 1;
        const Error error = error_of(
            [&] { const ElevationRaster raster({.path = path, .band = band}, grid_in(utm())); });
        CHECK(error.kind() == Failure::input);
        CHECK(error.message().find(c.says) != std::string::npos);
        CHECK(error.remedy().find(c.remedy) != std::string::npos);
    }
    const std::string path = folder / "scaled.tif";
    write_raster(path, {.type = GDT_Float32}, {});
    change(path, [](GDALRasterBand& band) { band.SetScale(0); });
    CHECK(error_of([&] { const ElevationRaster raster({.path = path}, grid_in(utm())); })
              .message()
              .find("heights of scale 0") != std::string::npos);
}

TEST_CASE("readers of several threads read the same")
{
    const TempFolder folder;
    const std::string path = folder / "dem.tif";
    std::vector<double> cells;
    for (int k = 0; k < 64 * 64; ++k)
        cells.push_back(300 + k % 97);
    write_raster(path, {.cols = 64, .rows = 64, .type = GDT_Float32}, cells);
    const ElevationRaster raster{{.path = path}, grid_in(utm())};
    std::vector<std::vector<double>> found(4);
    {
        std::vector<std::jthread> threads;
        for (auto& mine : found)
            threads.emplace_back([&raster, &mine] {
                ElevationRaster::Reader reader{raster};
                mine = reader.read({0, 0, 64, 64}).height_m;
            });
    }
    for (const auto& mine : found)
        CHECK(mine == cells);
}
