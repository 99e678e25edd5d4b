// SPDX-License-Identifier: Apache-2.0
#include "dem_tools.hpp"

#include "io/gdal/handles.hpp"

#include <doctest/doctest.h>
#include <gdal_utils.h>

#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <string>

namespace fuelring::test {

namespace {

constexpr double nothing = std::numeric_limits<double>::quiet_NaN();
constexpr double gdal_nodata = -9999;

DatasetPtr as_file(const Surface& surface, const std::filesystem::path& path)
{
    GDALAllRegister();
    const auto cols = static_cast<int>(surface.cols);
    const auto rows = static_cast<int>(surface.rows);
    DatasetPtr file{GDALCreate(GDALGetDriverByName("GTiff"), path.c_str(), cols, rows, 1,
                               GDT_Float64, nullptr)};
    REQUIRE(file);
    std::array<double, 6> transform{600'000, surface.cell_m, 0, 5'600'000, 0, -surface.cell_m};
    GDALSetGeoTransform(file.get(), transform.data());
    std::vector<double> heights = surface.height_m;
    for (double& height : heights)
        if (std::isnan(height))
            height = gdal_nodata;
    GDALRasterBandH band = GDALGetRasterBand(file.get(), 1);
    GDALSetRasterNoDataValue(band, gdal_nodata);
    REQUIRE(GDALRasterIO(band, GF_Write, 0, 0, cols, rows, heights.data(), cols, rows, GDT_Float64,
                         0, 0) == CE_None);
    return file;
}

std::vector<double> processed(GDALDatasetH file, const char* what, const char* algorithm,
                              const std::filesystem::path& path)
{
    std::array<std::string, 3> texts{"-alg", algorithm, "-p"};
    const bool slope = std::string{what} == "slope";
    std::array<char*, 4> words{texts[0].data(), texts[1].data(), slope ? texts[2].data() : nullptr,
                               nullptr};
    GDALDEMProcessingOptions* options = GDALDEMProcessingOptionsNew(words.data(), nullptr);
    const DatasetPtr made{GDALDEMProcessing(path.c_str(), file, what, nullptr, options, nullptr)};
    GDALDEMProcessingOptionsFree(options);
    REQUIRE(made);
    const int cols = GDALGetRasterXSize(made.get());
    const int rows = GDALGetRasterYSize(made.get());
    std::vector<double> cells(static_cast<std::size_t>(cols) * static_cast<std::size_t>(rows));
    REQUIRE(GDALRasterIO(GDALGetRasterBand(made.get(), 1), GF_Read, 0, 0, cols, rows, cells.data(),
                         cols, rows, GDT_Float64, 0, 0) == CE_None);
    return cells;
}

} // namespace

std::vector<Point> falls_by_gdal(const Surface& surface, const char* algorithm,
                                 const std::filesystem::path& folder)
{
    const DatasetPtr file = as_file(surface, folder / "surface.tif");
    GDALFlushCache(file.get());
    const std::vector<double> slope =
        processed(file.get(), "slope", algorithm, folder / "slope.tif");
    const std::vector<double> aspect =
        processed(file.get(), "aspect", algorithm, folder / "aspect.tif");
    std::vector<Point> falls;
    for (std::size_t k = 0; k < slope.size(); ++k) {
        const double fall = slope[k] == gdal_nodata ? nothing : slope[k] / 100;
        const double radians = aspect[k] * std::numbers::pi / 180;
        falls.push_back(fall == 0 ? Point{0, 0}
                                  : Point{fall * std::sin(radians), fall * std::cos(radians)});
    }
    return falls;
}

std::vector<Point> falls_by_planes(const Surface& surface)
{
    const double half = 0.1 * surface.cell_m; // a hut in the middle of the cell
    const Footprint hut =
        normalised({{{{-half, -half}, {half, -half}, {half, half}, {-half, half}}, false}});
    const HeightWindow all{{0, 0, surface.cols, surface.rows}, surface.height_m};
    std::vector<Point> falls;
    for (std::int64_t row = 0; row < surface.rows; ++row)
        for (std::int64_t col = 0; col < surface.cols; ++col) {
            const HeightLattice lattice{
                {col, row}, {0, 0}, {surface.cell_m, 0}, {0, -surface.cell_m}};
            SlopeFit fit{hut, lattice, 1.5 * surface.cell_m}; // corners are 1.27 cells from it
            HeightWindow around{{col - 1, row - 1, 3, 3}, {}};
            for (std::int64_t j = row - 1; j <= row + 1; ++j)
                for (std::int64_t i = col - 1; i <= col + 1; ++i)
                    around.height_m.push_back(all.at(i, j));
            fit.take(around);
            const auto slope = fit.fit();
            falls.push_back(slope && slope->cells == 8 ? slope->fall * slope->downhill
                                                       : Point{nothing, nothing});
        }
    return falls;
}

} // namespace fuelring::test
