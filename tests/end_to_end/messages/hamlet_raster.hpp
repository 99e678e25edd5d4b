// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/gdal/handles.hpp"
#include "support/make_inputs.hpp"

#include <doctest/doctest.h>

#include <array>
#include <string>
#include <vector>

namespace fuelring::test {

/// A GeoTIFF of `side` x `side` cells from the hamlet's corner on, to be filled.
inline DatasetPtr make_hamlet_raster(const fs::path& file, int bands, GDALDataType type,
                                     std::vector<std::string> options = {},
                                     int side = static_cast<int>(hamlet_cells))
{
    GDALAllRegister();
    std::vector<char*> list;
    for (std::string& option : options)
        list.push_back(option.data());
    list.push_back(nullptr);
    DatasetPtr data{GDALCreate(GDALGetDriverByName("GTiff"), file.c_str(), side, side, bands, type,
                               list.data())};
    REQUIRE(data);
    std::array<double, 6> transform = hamlet_transform;
    REQUIRE(GDALSetGeoTransform(data.get(), transform.data()) == CE_None);
    const SrsPtr srs{OSRNewSpatialReference(nullptr)};
    OSRImportFromEPSG(srs.get(), 32611);
    REQUIRE(GDALSetSpatialRef(data.get(), srs.get()) == CE_None);
    return data;
}

} // namespace fuelring::test
