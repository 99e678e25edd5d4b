// SPDX-License-Identifier: Apache-2.0

// Slopes against the DEM tools of GDAL, which weigh the 3 x 3 cells around a cell after Horn (1981)
// or after Zevenbergen and Thorne (1987). On a plane all agree.
#include "dem_tools.hpp"
#include "support/temp_folder.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace fuelring;
using namespace fuelring::test;

TEST_CASE("on planes the slope is Horn's, which is exact there")
{
    const TempFolder folder;
    for (const Point fall : {Point{0.25, 0}, Point{-0.125, 0.5}, Point{0.0625, -0.03125}}) {
        CAPTURE(fall.x);
        Surface surface{9, 7, 2, {}};
        for (int row = 0; row < 7; ++row)
            for (int col = 0; col < 9; ++col) // whole 64ths: Float32, which the tools use, is exact
                surface.height_m.push_back(200 - 2 * (fall.x * col - fall.y * row));
        const std::vector<Point> by_gdal = falls_by_gdal(surface, "Horn", folder.path());
        const std::vector<Point> by_planes = falls_by_planes(surface);
        int compared = 0;
        for (std::size_t k = 0; k < by_gdal.size(); ++k) {
            if (std::isnan(by_gdal[k].x))
                continue;
            ++compared;
            // Percent and degrees come back as Float32: 6e-8 of each, 360 degrees of 2 pi.
            const double tolerance = (6e-8 + 6e-8 * 6.3) * std::hypot(fall.x, fall.y);
            CHECK(std::abs(by_gdal[k].x - by_planes[k].x) < tolerance);
            CHECK(std::abs(by_gdal[k].y - by_planes[k].y) < tolerance);
            CHECK(std::abs(by_planes[k].x - fall.x) < 1e-14);
            CHECK(std::abs(by_planes[k].y - fall.y) < 1e-14);
        }
        CHECK(compared == 7 * 5);
    }
}
