// SPDX-License-Identifier: Apache-2.0
#include "exposure/exposure_classes.hpp"
#include "report/surface_image.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace fuelring;

namespace {

PictureSurface surface_of(std::vector<float> points, double cell_m2 = 1)
{
    PictureSurface surface;
    surface.cols = static_cast<std::int64_t>(points.size());
    surface.rows = 1;
    surface.unmapped.assign(points.size(), 0);
    surface.points = std::move(points);
    surface.cell_m2 = cell_m2;
    return surface;
}

} // namespace

TEST_CASE("classes of exposure begin at their lower bounds")
{
    CHECK(exposure_class(0) == 0);
    CHECK(exposure_class(0.99) == 0);
    CHECK(exposure_class(1) == 1);
    CHECK(exposure_class(19.9999) == 4);
    CHECK(exposure_class(20) == 5);
    CHECK(exposure_class(100) == 6);
}

TEST_CASE("a pixel has the class of its points, none where nothing is saved or known")
{
    const float nan = std::nanf("");
    PictureSurface surface = surface_of({4, 3.99F, 0.0001F, 0, nan});
    surface.gain = {{4, 1, 4}, {2, 1, 3.99}, {1, 0, 0}, {1, 0, 0}, {0.0001, 1, 0.0001}};
    const IndexedImage made = surface_image(surface);
    CHECK(made.pixels == std::vector<std::uint8_t>{1, 2, 5, 0, 0});
    CHECK(made.colours[0][3] == 0);
    REQUIRE(made.colours.size() == 6);
    CHECK(made.colours[1][3] == 255);
    CHECK(surface_image(surface_of({0, nan})).colours.size() == 1);
}

TEST_CASE("sums over squares of twice the side keep the sum, also at edges that hold fewer cells")
{
    const PictureSquares squares{1, 3, 2, {1, 2, 3, 4, 5, 6}};
    const PictureSquares half = squares.halved();
    CHECK(half.side == 2);
    CHECK(half.cols == 2);
    CHECK(half.rows == 1);
    CHECK(half.values == std::vector<float>{12, 9});
}

TEST_CASE("ground that is not mapped is a hatch, not a colour of the ramp")
{
    PictureSurface surface = surface_of(std::vector<float>(40, 0.0F));
    for (std::size_t i = 20; i < 40; ++i)
        surface.unmapped[i] = 1;
    const IndexedImage image = unmapped_image(surface);
    int lines = 0;
    for (std::size_t i = 0; i < 40; ++i) {
        if (i < 20)
            CHECK(image.pixels[i] == 0);
        lines += image.pixels[i];
    }
    CHECK(lines > 0);
    CHECK(lines < 20);
    CHECK(image.colours[1][0] == image.colours[1][1]);
    CHECK(image.colours[1][1] == image.colours[1][2]);
}
