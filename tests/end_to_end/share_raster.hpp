// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/gdal/handles.hpp"
#include "support/make_inputs.hpp"

#include <gdal.h>
#include <ogr_srs_api.h>

#include <optional>
#include <stdexcept>
#include <vector>

namespace fuelring::test {

/// A raster where the hamlet lies, 300 x 300 cells of 1 m in EPSG:32611, by row and column.
inline void make_shares(const std::filesystem::path& file, GDALDataType type,
                        std::optional<double> nodata,
                        const std::function<double(std::int64_t, std::int64_t)>& value_at,
                        double scale = 1)
{
    GDALAllRegister();
    constexpr int n = static_cast<int>(hamlet_cells);
    std::vector<double> cells;
    for (std::int64_t row = 0; row < hamlet_cells; ++row)
        for (std::int64_t col = 0; col < hamlet_cells; ++col)
            cells.push_back(value_at(row, col));
    const DatasetPtr data{
        GDALCreate(GDALGetDriverByName("GTiff"), file.c_str(), n, n, 1, type, nullptr)};
    if (!data)
        throw std::runtime_error{"a raster of shares could not be made"};
    std::array<double, 6> transform = hamlet_transform;
    GDALSetGeoTransform(data.get(), transform.data());
    const SrsPtr srs{OSRNewSpatialReference(nullptr)};
    OSRImportFromEPSG(srs.get(), 32611);
    GDALSetSpatialRef(data.get(), srs.get());
    GDALRasterBandH band = GDALGetRasterBand(data.get(), 1);
    if (nodata)
        GDALSetRasterNoDataValue(band, *nodata);
    if (scale != 1)
        GDALSetRasterScale(band, scale);
    if (GDALRasterIO(band, GF_Write, 0, 0, n, n, cells.data(), n, n, GDT_Float64, 0, 0) != CE_None)
        throw std::runtime_error{"a raster of shares could not be written"};
}

} // namespace fuelring::test
