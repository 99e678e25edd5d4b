// SPDX-License-Identifier: Apache-2.0
#include "report/neighbourhood_figures.hpp"
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
    CHECK(hex_of(exposure_colour(0)) == "#00224e"); // both ends of cividis
    CHECK(hex_of(exposure_colour(exposure_classes.size() - 1)) == "#fee838");
}

TEST_CASE("the surface's last class begins at the largest 1, 2 or 5 below its largest value")
{
    struct Case {
        float largest;
        double last, before;
    };
    const Case cases[] = {{1.0F, 1, 0.5},      {1.9F, 1, 0.5},     {2.5F, 2, 1},
                          {0.07F, 0.05, 0.02}, {500.0F, 500, 200}, {9.99F, 5, 2}};
    for (const Case& c : cases) {
        CAPTURE(c.largest);
        const SurfaceImage made = surface_image(surface_of({0, c.largest}));
        REQUIRE(made.classes.size() == 7);
        CHECK(made.classes[6].from == doctest::Approx(c.last).epsilon(1e-12));
        CHECK(made.classes[5].from == doctest::Approx(c.before).epsilon(1e-12));
        CHECK(made.classes[0].from == 0);
    }
}

TEST_CASE(
    "a pixel has the class of its points a square metre, none where nothing is saved or known")
{
    const float nan = std::nanf("");
    // Cells of 4 m2: 4 points a cell are 1 a square metre, the last class's bound.
    const SurfaceImage made = surface_image(surface_of({4, 3.99F, 0.0001F, 0, nan}, 4));
    CHECK(made.image.pixels == std::vector<std::uint8_t>{7, 6, 1, 0, 0});
    CHECK(made.image.colours[0][3] == 0);
    CHECK(surface_image(surface_of({0, nan})).classes.empty());
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
