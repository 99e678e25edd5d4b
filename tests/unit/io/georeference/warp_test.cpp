// SPDX-License-Identifier: Apache-2.0

// Reading a raster in degrees on the grid it is warped to, judged by GDAL's own warper.
#include "io/gdal/handles.hpp"
#include "io/georeference/warp_map.hpp"
#include "io/raster/fuel_raster.hpp"
#include "unit/io/data_files.hpp"

#include <doctest/doctest.h>
#include <gdal_utils.h>

#include <array>
#include <cstdlib>

using namespace fuelring;
using namespace fuelring::test;

namespace {

constexpr int cells_along = 300;
/// Cells of 0.72 x 1.1 m at 50 N.
constexpr std::array<double, 6> degrees = {9, 1e-5, 0, 50, 0, -1e-5};

const FuelClassTable& classes()
{
    static const FuelClassTable table{{{1, "pine", FuelGroup::conifer, 10'000, "test"},
                                       {2, "birch", FuelGroup::broadleaved, 0, "test"},
                                       {3, "road", FuelGroup::built, 0, "test"}}};
    return table;
}

/// Classes 1 to 3 at random, so that every wrong neighbour shows.
std::vector<double> speckle()
{
    std::vector<double> cells;
    std::uint32_t state = 12345;
    for (int k = 0; k < cells_along * cells_along; ++k) {
        state = state * 1664525U + 1013904223U;
        cells.push_back(1 + (state >> 16) % 3);
    }
    return cells;
}

RasterSpec speckled()
{
    return {.cols = cells_along, .rows = cells_along, .epsg = 4326, .geotransform = degrees};
}

StudyArea middle_of_it(double reach_m)
{
    StudyArea study;
    study.structures = [](const Crs&, const Box&, const GeoArea&) {
        return Box{{9.001, 49.998}, {9.002, 49.999}};
    };
    study.reach_m = reach_m;
    return study;
}

std::vector<ClassIndex> read_all(const FuelRaster& raster)
{
    const CellRect rect = raster.grid().extent();
    std::vector<ClassIndex> cells(static_cast<std::size_t>(rect.cols * rect.rows));
    FuelRaster::Reader{raster}.read(rect, cells);
    return cells;
}

/// The same grid by GDAL: nearest neighbour, exact transformation of every cell, 0 outside.
std::vector<std::uint8_t> by_gdal(const std::string& path, const FuelRaster& raster)
{
    const Grid& grid = raster.grid();
    const Point a = grid.corner(0, grid.rows());
    const Point b = grid.corner(grid.cols(), 0);
    std::vector<std::string> words = {
        "-of", "MEM", "-r", "near", "-et", "0", "-t_srs", raster.crs().wkt(), "-te"};
    for (const double v : {a.x, a.y, b.x, b.y})
        words.push_back(std::to_string(v));
    words.insert(words.end(), {"-ts", std::to_string(grid.cols()), std::to_string(grid.rows())});
    std::vector<char*> list;
    for (std::string& word : words)
        list.push_back(word.data());
    list.push_back(nullptr);
    GDALWarpAppOptions* options = GDALWarpAppOptionsNew(list.data(), nullptr);
    const DatasetPtr source{GDALOpen(path.c_str(), GA_ReadOnly)};
    GDALDatasetH handle = source.get();
    const DatasetPtr warped{GDALWarp("", nullptr, 1, &handle, options, nullptr)};
    GDALWarpAppOptionsFree(options);
    REQUIRE(warped);
    const int cols = static_cast<int>(grid.cols());
    const int rows = static_cast<int>(grid.rows());
    std::vector<std::uint8_t> cells(static_cast<std::size_t>(grid.cols() * grid.rows()));
    REQUIRE(GDALRasterIO(GDALGetRasterBand(warped.get(), 1), GF_Read, 0, 0, cols, rows,
                         cells.data(), cols, rows, GDT_Byte, 0, 0) == CE_None);
    return cells;
}

} // namespace

TEST_CASE("a warped raster shows the cells that GDAL's exact warper shows")
{
    const TempFolder folder;
    const std::string path = folder / "fuel.tif";
    write_raster(path, speckled(), speckle());
    // Two grids: around the middle, and one that reaches beyond the raster on all sides.
    for (const double reach_m : {20.0, 400.0}) {
        CAPTURE(reach_m);
        const FuelRaster raster{{.path = path}, classes(), middle_of_it(reach_m)};
        REQUIRE(raster.plan().warped());
        const std::vector<ClassIndex> found = read_all(raster);
        const std::vector<std::uint8_t> expected = by_gdal(path, raster);
        std::int64_t different = 0;
        for (std::size_t k = 0; k < found.size(); ++k)
            different += classes()[found[k]].group == FuelGroup::unmapped
                             ? expected[k] != 0
                             : classes()[found[k]].code != expected[k];
        // Places are good to 2e-5 of a cell, and to_string's corners to 1e-6 m: of n cells about
        // 4 x 2e-5 n lie so near a border that either neighbour will do. 90,000 cells: 7.
        CHECK(different <= 12);
    }
}

TEST_CASE("a cell of a warped raster does not depend on the window that is read")
{
    const TempFolder folder;
    const std::string path = folder / "fuel.tif";
    write_raster(path, speckled(), speckle());
    const FuelRaster raster{{.path = path}, classes(), middle_of_it(60)};
    const std::vector<ClassIndex> whole = read_all(raster);
    FuelRaster::Reader reader{raster};
    const std::int64_t cols = raster.grid().cols();
    for (const CellRect rect : {CellRect{0, 0, 1, 1}, {7, 9, 50, 3}, {31, 33, 64, 64}}) {
        std::vector<ClassIndex> part(static_cast<std::size_t>(rect.cols * rect.rows));
        reader.read(rect, part);
        for (std::int64_t r = 0; r < rect.rows; ++r)
            for (std::int64_t c = 0; c < rect.cols; ++c)
                REQUIRE(part[static_cast<std::size_t>(r * rect.cols + c)] ==
                        whole[static_cast<std::size_t>((rect.row + r) * cols + rect.col + c)]);
    }
}

TEST_CASE("a warped raster hides its nodata, its mask and what lies beside it")
{
    const TempFolder folder;
    RasterSpec spec = speckled();
    spec.nodata = 3;
    spec.mask = std::vector<std::uint8_t>(cells_along * cells_along, 255);
    for (int k = 0; k < cells_along * cells_along / 2; ++k)
        spec.mask[static_cast<std::size_t>(k)] = 0; // the northern half
    const std::string path = folder / "fuel.tif";
    write_raster(path, spec, speckle());
    const FuelRaster raster{{.path = path}, classes(), middle_of_it(400)};
    const std::vector<ClassIndex> found = read_all(raster);
    CHECK_FALSE(raster.met_unknown_codes()); // nothing beside the raster looks like a code
    WarpMap map{raster.plan()};
    const std::vector<SourceCell> places = map.locate(raster.grid().extent());
    std::int64_t beside = 0;
    std::int64_t mapped = 0;
    for (std::size_t k = 0; k < found.size(); ++k) {
        beside += !places[k].exists();
        mapped += found[k] != no_data_class;
        if (!places[k].exists() || places[k].row < cells_along / 2)
            REQUIRE(found[k] == no_data_class);
    }
    CHECK(beside > 10'000);
    CHECK(mapped > 20'000);
    CodeCensus census;
    FuelRaster::Reader{raster}.count(raster.grid().extent(), census);
    CHECK(census.cells_of_code[1] + census.cells_of_code[2] == mapped);
    CHECK(census.nodata_cells + mapped == static_cast<std::int64_t>(found.size()));
}

TEST_CASE("a fraction in a warped raster is told by its place in the file")
{
    const TempFolder folder;
    RasterSpec spec = speckled();
    spec.type = GDT_Float32;
    std::vector<double> cells = speckle();
    cells[150 * cells_along + 150] = 1.5;
    const std::string path = folder / "fuel.tif";
    write_raster(path, spec, cells);
    const FuelRaster raster{{.path = path}, classes(), middle_of_it(60)};
    const Error e = error_of([&] { read_all(raster); });
    CHECK(std::string{e.what()}.find("column 150, row 150 is 1.5") != std::string::npos);
}
