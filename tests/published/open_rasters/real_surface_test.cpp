// SPDX-License-Identifier: Apache-2.0

// Slopes of a real surface: elev.tif of the R package terra (Luxembourg), as Debian 12 ships it.
#include "io/gdal/handles.hpp"
#include "open_data.hpp"
#include "support/temp_folder.hpp"
#include "terrain/dem_tools.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

using namespace fuelring;
using namespace fuelring::test;

namespace {

/// The heights of the file on squares of 100 m: its degrees would only blur the comparison.
Surface luxembourg(const fs::path& data)
{
    GDALAllRegister();
    const DatasetPtr file{GDALOpen((data / "elev.tif").c_str(), GA_ReadOnly)};
    REQUIRE(file);
    const int cols = GDALGetRasterXSize(file.get());
    const int rows = GDALGetRasterYSize(file.get());
    Surface surface{cols, rows, 100, {}};
    surface.height_m.resize(static_cast<std::size_t>(cols) * static_cast<std::size_t>(rows));
    GDALRasterBandH band = GDALGetRasterBand(file.get(), 1);
    REQUIRE(GDALRasterIO(band, GF_Read, 0, 0, cols, rows, surface.height_m.data(), cols, rows,
                         GDT_Float64, 0, 0) == CE_None);
    for (double& height : surface.height_m)
        if (height == GDALGetRasterNoDataValue(band, nullptr))
            height = std::numeric_limits<double>::quiet_NaN();
    return surface;
}

} // namespace

TEST_CASE("planes through the cells of a real surface follow from the slopes of GDAL's DEM tools")
{
    const auto data = open_data();
    if (!data)
        return;
    const TempFolder folder;
    const Surface surface = luxembourg(*data);
    const std::vector<Point> horn = falls_by_gdal(surface, "Horn", folder.path());
    const std::vector<Point> middle = falls_by_gdal(surface, "ZevenbergenThorne", folder.path());
    const std::vector<Point> planes = falls_by_planes(surface);
    int compared = 0;
    double steepest = 0;
    for (std::size_t k = 0; k < planes.size(); ++k) {
        if (std::isnan(horn[k].x) || std::isnan(middle[k].x) || std::isnan(planes[k].x))
            continue;
        ++compared;
        steepest = std::max(steepest, std::hypot(planes[k].x, planes[k].y));
        // Of the three differences over two cells Horn takes (a + 2 b + c) / 4, Zevenbergen and
        // Thorne b, and least squares (a + b + c) / 3 = (4 Horn - b) / 3. Percent and degrees of
        // the tools are Float32, 6e-8 and 4e-7 of the fall, times (4 + 1) / 3.
        const Point expected = (1.0 / 3) * (4 * horn[k] - middle[k]);
        const double tolerance =
            5.0 / 3 * 5e-7 *
                std::max(std::hypot(horn[k].x, horn[k].y), std::hypot(middle[k].x, middle[k].y)) +
            1e-12;
        CHECK(std::abs(planes[k].x - expected.x) <= tolerance);
        CHECK(std::abs(planes[k].y - expected.y) <= tolerance);
    }
    MESSAGE(compared << " cells, the steepest falls by " << 100 * steepest << " %");
    CHECK(compared > 3000);
    CHECK(steepest > 0.5);
}
