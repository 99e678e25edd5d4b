// SPDX-License-Identifier: Apache-2.0
#include "woods.hpp"

#include "io/gdal/handles.hpp"

#include <fmt/format.h>
#include <ogr_srs_api.h>

#include <algorithm>
#include <array>
#include <functional>
#include <memory>
#include <stdexcept>

namespace fuelring::test {

namespace {

constexpr double west = 600'000, north = 5'600'300;
constexpr const char* words[] = {"conifer", "broadleaved", "grass", "built"};
/// Blue, green, red, near infrared, and height in metres.
constexpr double looks[4][5] = {
    {30, 50, 40, 110, 14}, {32, 66, 44, 160, 11}, {45, 80, 60, 150, 0.2}, {120, 115, 118, 105, 5}};
constexpr double spread[5] = {6, 8, 8, 14, 3};

/// A number of 0 to 1 that belongs to a cell and a band.
double hashed(int row, int col, int band)
{
    std::uint64_t h =
        (static_cast<std::uint64_t>(row) * 1'000'003U + static_cast<std::uint64_t>(col)) * 31U +
        static_cast<std::uint64_t>(band);
    h ^= h >> 33U;
    h *= 0xff51afd7ed558ccdU;
    h ^= h >> 33U;
    h *= 0xc4ceb9fe1a85ec53U;
    h ^= h >> 33U;
    return static_cast<double>(h >> 11U) / 9007199254740992.0;
}

double look_at(int row, int col, int band)
{
    const double noise = hashed(row, col, band) + hashed(row, col, band + 7) - 1;
    return looks[Woods::kind_at(row, col)][band] + 2 * spread[band] * noise;
}

using ValueAt = std::function<double(int row, int col, int band)>;

void make_raster(const fs::path& file, GDALDataType type, int bands, int first_col, int cols,
                 int epsg, const ValueAt& value_at)
{
    GDALAllRegister();
    const int rows = Woods::cells;
    const DatasetPtr data{
        GDALCreate(GDALGetDriverByName("GTiff"), file.c_str(), cols, rows, bands, type, nullptr)};
    if (!data)
        throw std::runtime_error{"an image could not be made"};
    std::array<double, 6> transform{west + first_col, 1, 0, north, 0, -1};
    GDALSetGeoTransform(data.get(), transform.data());
    const SrsPtr srs{OSRNewSpatialReference(nullptr)};
    OSRImportFromEPSG(srs.get(), epsg);
    GDALSetSpatialRef(data.get(), srs.get());
    for (int band = 0; band < bands; ++band) {
        std::vector<double> values;
        for (int row = 0; row < rows; ++row)
            for (int col = first_col; col < first_col + cols; ++col)
                values.push_back(col < Woods::known_cols ? value_at(row, col, band) : 0);
        GDALRasterBandH handle = GDALGetRasterBand(data.get(), band + 1);
        GDALSetRasterNoDataValue(handle, 0);
        if (GDALRasterIO(handle, GF_Write, 0, 0, cols, rows, values.data(), cols, rows, GDT_Float64,
                         0, 0) != CE_None)
            throw std::runtime_error{"an image could not be written"};
    }
}

} // namespace

Woods::Woods()
{
    make_photo(folder() / "photo.tif");
    make_heights(folder() / "heights.tif");
    make_training({conifer, broadleaved, grass, roof});
    config("community", "name") = "'Woods'";
    config("imagery", "extent") = "'images'";
    config("imagery", "images") =
        "[{ path = 'photo.tif', roles = ['blue', 'green', 'red', "
        "'near_infrared'] }, { path = 'heights.tif', roles = ['height'] }]";
    config("imagery.training", "path") = "'training.gpkg'";
    config("imagery.training", "group") = "'group'";
    config("imagery.output", "dir") = "'fuel'";
}

ProgramResult Woods::run(const std::string& command, const std::vector<std::string>& more) const
{
    config.write(config_file());
    std::vector<std::string> arguments{command, config_file().string()};
    arguments.insert(arguments.end(), more.begin(), more.end());
    return run_fuelring(arguments);
}

Woods::Kind Woods::kind_at(int row, int col)
{
    return static_cast<Kind>((row / square * 3 + col / square) % 4);
}

void Woods::make_photo(const fs::path& file, int first_col, int cols, int epsg, int shift) const
{
    make_raster(file, GDT_Byte, 4, first_col, cols, epsg, [=](int row, int col, int band) {
        return look_at(row, shift == 0 ? col : col - shift + 4 * square, band);
    });
}

bool Woods::in_shade(int row, int col)
{
    return row >= shade_row && row < shade_row + shade_side && col >= shade_col &&
           col < shade_col + shade_side;
}

void Woods::make_shaded_photo(const fs::path& file) const
{
    make_raster(file, GDT_Byte, 4, 0, cells, 32611, [](int row, int col, int band) {
        return look_at(row, col, band) * (in_shade(row, col) ? 0.2 : 1);
    });
}

void Woods::make_heights(const fs::path& file) const
{
    make_raster(file, GDT_Float32, 1, 0, cells, 32611,
                [](int row, int col, int) { return std::max(0.01, look_at(row, col, 4)); });
}

void Woods::make_winter(const fs::path& file, bool green) const
{
    const double winter[4][2] = {{40, green ? 110.0 : 30.0}, {84, 96}, {104, 126}, {118, 105}};
    make_raster(file, GDT_Byte, 2, 0, cells, 32611, [&](int row, int col, int band) {
        const double noise = hashed(row, col, band + 20) + hashed(row, col, band + 30) - 1;
        return winter[kind_at(row, col)][band] + 16 * noise;
    });
}

void Woods::make_training(const std::vector<Kind>& wanted, double east_m) const
{
    std::vector<Shape> areas;
    for (int row = square / 2; row < cells; row += square)
        for (int col = square / 2; col < cells; col += square) {
            const Kind kind = kind_at(row, col);
            if (std::ranges::find(wanted, kind) == wanted.end())
                continue;
            const double x = west + col + east_m;
            const double y = north - row;
            areas.push_back({words[kind], rectangle_wkt(x - 4, y - 4, x + 4, y + 4)});
        }
    fs::remove(folder() / "training.gpkg");
    make_layer(folder() / "training.gpkg", "GPKG", "group", 32611, areas);
}

} // namespace fuelring::test
