// SPDX-License-Identifier: Apache-2.0
#include "io/raster/fuel_raster.hpp"
#include "unit/io/data_files.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <thread>

using namespace fuelring;
using namespace fuelring::test;

namespace {

/// Codes 1 to 3 become class indices 1 to 3.
FuelClassTable three_classes()
{
    return FuelClassTable{{{1, "pine", FuelGroup::conifer, 10'000, "test"},
                           {2, "grass", FuelGroup::grass, 0, "test"},
                           {3, "lake", FuelGroup::water, 0, "test"}}};
}

struct Window {
    std::vector<ClassIndex> cells;
    bool met_unknown = false;
};

Window read(const std::string& path, const CellRect& rect, const FuelClassTable& classes)
{
    const FuelRaster raster{{.path = path}, classes};
    FuelRaster::Reader reader{raster};
    Window window;
    window.cells.resize(static_cast<std::size_t>(rect.cols * rect.rows), 77);
    reader.read(rect, window.cells);
    window.met_unknown = raster.met_unknown_codes();
    return window;
}

CodeCensus census_of(const std::string& path, const FuelClassTable& classes)
{
    const FuelRaster raster{{.path = path}, classes};
    FuelRaster::Reader reader{raster};
    CodeCensus census;
    reader.count({-10, -10, 100, 100}, census);
    return census;
}

using Cells = std::vector<ClassIndex>;

} // namespace

TEST_CASE("codes of every cell type become the same class indices")
{
    const TempFolder folder;
    const FuelClassTable classes = three_classes();
    // 1 2 3 9     9 is nodata, 4 is in no row of the table
    // 4 1 9 2
    // 3 3 2 1
    const std::vector<double> codes = {1, 2, 3, 9, 4, 1, 9, 2, 3, 3, 2, 1};
    const Cells expected = {1, 2, 3, 0, 0, 1, 0, 2, 3, 3, 2, 1};
    for (const GDALDataType type : {GDT_Byte, GDT_UInt16, GDT_Int16, GDT_UInt32, GDT_Int32,
                                    GDT_UInt64, GDT_Int64, GDT_Float32, GDT_Float64}) {
        CAPTURE(std::string{GDALGetDataTypeName(type)});
        const std::string path = folder / "fuel.tif";
        write_raster(path, {.type = type, .nodata = 9}, codes);
        const Window window = read(path, {0, 0, 4, 3}, classes);
        CHECK(window.cells == expected);
        CHECK(window.met_unknown);
        const CodeCensus census = census_of(path, classes);
        CHECK(census.nodata_cells == 2);
        CHECK(census.cells_of_code ==
              std::map<std::int64_t, std::int64_t>{{1, 3}, {2, 3}, {3, 3}, {4, 1}});
    }
}

TEST_CASE("workers with a reader each read the same as one alone")
{
    const TempFolder folder;
    const FuelClassTable classes = three_classes();
    constexpr int side = 300;
    std::vector<double> codes;
    for (int k = 0; k < side * side; ++k)
        codes.push_back(1 + (k / 7 + k / side) % 4); // runs of 7, code 4 unknown
    write_raster(folder / "fuel.tif",
                 {.cols = side,
                  .rows = side,
                  .options = {"TILED=YES", "BLOCKXSIZE=64", "BLOCKYSIZE=64", "COMPRESS=DEFLATE"}},
                 codes);
    const FuelRaster raster{{.path = folder / "fuel.tif"}, classes};
    std::vector<Cells> windows(4, Cells(std::size_t{side} * side));
    std::vector<std::thread> workers;
    for (Cells& window : windows)
        workers.emplace_back([&] {
            FuelRaster::Reader reader{raster};
            reader.read({0, 0, side, side}, window);
        });
    for (std::thread& worker : workers)
        worker.join();
    for (const Cells& window : windows)
        for (std::size_t k = 0; k < window.size(); ++k)
            REQUIRE(window[k] == (codes[k] == 4 ? 0 : static_cast<ClassIndex>(codes[k])));
    CHECK(raster.met_unknown_codes());
}

TEST_CASE("a window that reaches off the raster is filled up with no data")
{
    const TempFolder folder;
    const FuelClassTable classes = three_classes();
    write_raster(folder / "fuel.tif", {}, {1, 2, 3, 1, 2, 3, 1, 2, 3, 1, 2, 3});
    // The raster is 4 x 3; the window begins one cell left of it and one row above.
    CHECK(read(folder / "fuel.tif", {-1, -1, 3, 3}, classes).cells ==
          Cells{0, 0, 0, 0, 1, 2, 0, 2, 3});
    CHECK(read(folder / "fuel.tif", {3, 2, 2, 2}, classes).cells == Cells{3, 0, 0, 0});
    CHECK(read(folder / "fuel.tif", {50, 50, 2, 1}, classes).cells == Cells{0, 0});
    CHECK_FALSE(read(folder / "fuel.tif", {0, 0, 4, 3}, classes).met_unknown);
}

TEST_CASE("what is not a number is no data; so is what a mask hides")
{
    const TempFolder folder;
    const FuelClassTable classes = three_classes();
    const double nan = std::numeric_limits<double>::quiet_NaN();
    write_raster(folder / "nan.tif", {.type = GDT_Float32, .nodata = -3.4028234663852886e38},
                 {1, nan, -3.4028234663852886e38, 2});
    CHECK(read(folder / "nan.tif", {0, 0, 4, 1}, classes).cells == Cells{1, 0, 0, 2});
    CHECK(census_of(folder / "nan.tif", classes).nodata_cells == 2);
    write_raster(folder / "mask.tif", {.cols = 2, .rows = 2, .mask = {255, 0, 0, 255}},
                 {1, 2, 3, 1});
    CHECK(read(folder / "mask.tif", {0, 0, 2, 2}, classes).cells == Cells{1, 0, 0, 1});
    CHECK(census_of(folder / "mask.tif", classes).nodata_cells == 2);
}

TEST_CASE("nodata wins over a row of the table with the same code")
{
    const TempFolder folder;
    const FuelClassTable classes = three_classes();
    for (const GDALDataType type : {GDT_Byte, GDT_Int32, GDT_Float32}) {
        write_raster(folder / "fuel.tif", {.cols = 2, .rows = 1, .type = type, .nodata = 3},
                     {3, 1});
        const Window window = read(folder / "fuel.tif", {0, 0, 2, 1}, classes);
        CHECK(window.cells == Cells{0, 1});
        CHECK_FALSE(window.met_unknown);
    }
}

TEST_CASE("codes far apart and negative ones are found")
{
    const TempFolder folder;
    const FuelClassTable classes{{{-9999, "a", FuelGroup::grass, 0, "test"},
                                  {2'000'000'000, "b", FuelGroup::conifer, 10'000, "test"}}};
    write_raster(folder / "fuel.tif", {.type = GDT_Int32}, {-9999, 2'000'000'000, 0, -1});
    CHECK(read(folder / "fuel.tif", {0, 0, 4, 1}, classes).cells == Cells{1, 2, 0, 0});
}

TEST_CASE("a cell with a fraction is no class: where it stands is said")
{
    const TempFolder folder;
    const FuelClassTable classes = three_classes();
    write_raster(folder / "cover.tif", {.type = GDT_Float32}, {1, 1, 1, 1, 1, 0.5});
    const Error e = error_of([&] { read(folder / "cover.tif", {0, 0, 4, 3}, classes); });
    CHECK(e.kind() == Failure::input);
    CHECK(e.message().find("column 1, row 1 is 0.5, which is not a class code") !=
          std::string::npos);
    CHECK_THROWS_AS(census_of(folder / "cover.tif", classes), Error);
}

TEST_CASE("a raster cut short is refused before a cell is read, with the place of the cut")
{
    const TempFolder folder;
    const FuelClassTable classes = three_classes();
    write_raster(folder / "fuel.tif", {.cols = 600, .rows = 600}, std::vector<double>(360'000, 1));
    std::filesystem::resize_file(folder / "fuel.tif",
                                 std::filesystem::file_size(folder / "fuel.tif") / 2);
    const Error e = error_of([&] { read(folder / "fuel.tif", {0, 500, 600, 100}, classes); });
    CHECK(e.kind() == Failure::input);
    CHECK(e.message().find("the file is cut short: ") != std::string::npos);
    CHECK(e.message().find("fuel.tif") != std::string::npos);
}

TEST_CASE("georeference, CRS and a description of the raster are known before a cell is read")
{
    const TempFolder folder;
    const FuelClassTable classes = three_classes();
    write_raster(folder / "fuel.tif",
                 {.cols = 600,
                  .rows = 300,
                  .nodata = 255,
                  .options = {"TILED=YES", "BLOCKXSIZE=256", "BLOCKYSIZE=256"}},
                 {});
    const FuelRaster raster{{.path = folder / "fuel.tif"}, classes};
    CHECK(raster.grid().cols() == 600);
    CHECK(raster.grid().corner(0, 0) == raster_corner);
    CHECK(raster.crs().name() == "WGS 84 / UTM zone 32N (EPSG:32632)");
    CHECK(raster.description() == "GTiff, 600 x 300 cells, Byte, nodata 255, blocks 256 x 256");
}

TEST_CASE("a raster without CRS takes that of the configuration, and only then")
{
    const TempFolder folder;
    const FuelClassTable classes = three_classes();
    write_raster(folder / "none.tif", {.epsg = 0}, {1});
    const FuelRaster given{{.path = folder / "none.tif", .crs = "EPSG:32633"}, classes};
    CHECK(given.crs().name() == "WGS 84 / UTM zone 33N (EPSG:32633)");
    write_raster(folder / "own.tif", {}, {1});
    const FuelRaster own{{.path = folder / "own.tif", .crs = "EPSG:32633"}, classes};
    CHECK(own.crs().name() == "WGS 84 / UTM zone 32N (EPSG:32632)");
}

TEST_CASE("nothing is written beside an input")
{
    const TempFolder folder;
    const FuelClassTable classes = three_classes();
    write_raster(folder / "fuel.tif", {}, {1, 2, 3});
    read(folder / "fuel.tif", {0, 0, 4, 3}, classes);
    census_of(folder / "fuel.tif", classes);
    const auto files = std::filesystem::directory_iterator{folder / ""};
    CHECK(std::distance(begin(files), end(files)) == 1);
}
