// SPDX-License-Identifier: Apache-2.0

// The colours that draw every map, judged by published measures: contrast by WCAG 2.2, differences
// by CIE 1976 L*a*b*, colour-vision deficiencies by the matrices of Machado, Oliveira and Fernandes
// 2009 (doi:10.1109/TVCG.2009.113, severity 1.0), which apply to linear RGB.
#include "base/colours/map_colours.hpp"
#include "exposure/exposure_classes.hpp"
#include "exposure/gain_classes.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <span>

using namespace fuelring;
using report::Colour;
using report::MapGround;

namespace {

constexpr double least_contrast = 3; ///< WCAG 2.2, 1.4.11: graphics
constexpr double least_difference =
    7; ///< of L*a*b*; about 2.3 is just noticeable (Mahy et al. 1994)
constexpr double least_lightness_step = 5; ///< of L*, 0 to 100: steps of a grey print

using Matrix = std::array<std::array<double, 3>, 3>;
constexpr Matrix every_cone{{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}};
constexpr Matrix protanopia{{{0.152286, 1.052583, -0.204868},
                             {0.114503, 0.786281, 0.099216},
                             {-0.003882, -0.048116, 1.051998}}};
constexpr Matrix deuteranopia{{{0.367322, 0.860646, -0.227968},
                               {0.280085, 0.672501, 0.047413},
                               {-0.011820, 0.042940, 0.968881}}};
constexpr Matrix tritanopia{{{1.255528, -0.076749, -0.178779},
                             {-0.078411, 0.930809, 0.147602},
                             {0.004733, 0.691367, 0.303900}}};

using Triple = std::array<double, 3>;

Triple linear(const Colour& c)
{
    const auto part = [](double v) {
        return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4);
    };
    return {part(c.red), part(c.green), part(c.blue)};
}

Triple times(const Matrix& m, const Triple& v)
{
    Triple product{};
    for (std::size_t i = 0; i < 3; ++i)
        product[i] = std::clamp(m[i][0] * v[0] + m[i][1] * v[1] + m[i][2] * v[2], 0.0, 1.0);
    return product;
}

/// L*, a*, b* of linear sRGB (IEC 61966-2-1) under D65.
Triple lab(const Triple& rgb)
{
    const Triple xyz{(0.4124 * rgb[0] + 0.3576 * rgb[1] + 0.1805 * rgb[2]) / 0.95047,
                     0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2],
                     (0.0193 * rgb[0] + 0.1192 * rgb[1] + 0.9505 * rgb[2]) / 1.08883};
    const auto f = [](double t) { return t > 0.008856 ? std::cbrt(t) : 7.787 * t + 16.0 / 116; };
    return {116 * f(xyz[1]) - 16, 500 * (f(xyz[0]) - f(xyz[1])), 200 * (f(xyz[1]) - f(xyz[2]))};
}

double difference(const Matrix& eye, const Colour& a, const Colour& b)
{
    const Triple p = lab(times(eye, linear(a)));
    const Triple q = lab(times(eye, linear(b)));
    return std::hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]);
}

double lightness(const Colour& c)
{
    return lab(linear(c))[0];
}

const std::array<MapGround, 2> grounds{MapGround::light, MapGround::dark};
const std::array<const Matrix*, 4> eyes{&every_cone, &protanopia, &deuteranopia, &tritanopia};

void check_neighbours_apart(std::span<const Colour> classes)
{
    for (std::size_t k = 0; k + 1 < classes.size(); ++k)
        for (const Matrix* eye : eyes) {
            CAPTURE(k);
            CHECK(difference(*eye, classes[k], classes[k + 1]) >= least_difference);
        }
}

/// Each class is further from the ground than the one before, in a grey print, too.
void check_order(std::span<const Colour> from_least, const Colour& ground)
{
    for (std::size_t k = 0; k + 1 < from_least.size(); ++k) {
        CAPTURE(k);
        const double step = std::abs(lightness(from_least[k + 1]) - lightness(ground)) -
                            std::abs(lightness(from_least[k]) - lightness(ground));
        CHECK(step >= least_lightness_step);
    }
}

} // namespace

TEST_CASE("every class of buildings is seen on its ground, by its fill or by its outline")
{
    for (const MapGround on : grounds) {
        const report::MapColours& c = report::map_colours(on);
        CHECK(contrast(c.outline, c.ground) >= least_contrast);
        CHECK(contrast(c.outline, c.halo) >= least_contrast); // on the surface: the halo is between
        // The most exposed stand out by their fill alone.
        for (std::size_t k = exposure_class(10); k < c.exposure.size(); ++k)
            CHECK(contrast(c.exposure[k], c.ground) >= least_contrast);
        const Colour& white{1, 1, 1};
        if (on == MapGround::light) // paper
            CHECK(contrast(c.outline, white) >= least_contrast);
    }
}

TEST_CASE("lines and marks of the map are seen on its ground")
{
    for (const MapGround on : grounds) {
        const report::MapColours& c = report::map_colours(on);
        for (const Colour& line : {c.area, c.unit, c.chosen, c.drawn, c.hatch})
            CHECK(contrast(line, c.ground) >= least_contrast);
        CHECK(contrast(c.area, c.halo) >= 4.5); // words: WCAG 2.2, 1.4.3
    }
}

TEST_CASE("streets and water are seen, neutral, and quieter than anything that is measured")
{
    constexpr double most_chroma = 12; // of L*a*b*
    for (const MapGround on : grounds) {
        const report::MapColours& c = report::map_colours(on);
        for (const Colour& quiet : {c.street, c.water}) {
            CHECK(difference(every_cone, quiet, c.ground) >= least_difference);
            const Triple seen = lab(linear(quiet));
            CHECK(std::hypot(seen[1], seen[2]) <= most_chroma);
            for (const Colour& loud :
                 {c.outline, c.area, c.unit, c.chosen, c.drawn, c.gain[0], c.exposure.back()})
                CHECK(contrast(quiet, c.ground) < contrast(loud, c.ground));
        }
        CHECK(difference(every_cone, c.street, c.water) >= least_difference);
    }
}

TEST_CASE("more exposure stands out more from its ground, also in a grey print")
{
    for (const MapGround on : grounds) {
        const report::MapColours& c = report::map_colours(on);
        check_order(c.exposure, c.ground);
    }
}

TEST_CASE("land that saves more stands out more from its ground, also in a grey print")
{
    for (const MapGround on : grounds) {
        const report::MapColours& c = report::map_colours(on);
        std::array<Colour, 5> from_least = c.gain;
        std::reverse(from_least.begin(), from_least.end());
        check_order(from_least, c.ground);
    }
}

TEST_CASE("eyes that lack a kind of cone tell neighbouring classes apart")
{
    for (const MapGround on : grounds) {
        const report::MapColours& c = report::map_colours(on);
        check_neighbours_apart(c.exposure);
        check_neighbours_apart(c.gain);
        for (const Matrix* eye : eyes) // the least gain is no bare ground
            CHECK(difference(*eye, c.gain.back(), c.ground) >= least_difference);
    }
}

TEST_CASE("the measures agree with published values")
{
    CHECK(report::contrast({0, 0, 0}, {1, 1, 1}) == doctest::Approx(21)); // WCAG 2.2
    CHECK(lightness({1, 1, 1}) == doctest::Approx(100).epsilon(1e-4));
    CHECK(lightness({0, 0, 0}) == doctest::Approx(0).epsilon(1e-6));
    for (const Matrix* eye : eyes) // white stays white: rows sum to 1
        for (const auto& row : *eye)
            CHECK(row[0] + row[1] + row[2] == doctest::Approx(1).epsilon(1e-5));
}

TEST_CASE("exposure runs over both ends of cividis, pale first on a light ground")
{
    CHECK(hex_of(report::map_colours(MapGround::light).exposure.front()) == "#fee838");
    CHECK(hex_of(report::map_colours(MapGround::light).exposure.back()) == "#00224e");
    CHECK(hex_of(report::map_colours(MapGround::dark).exposure.front()) == "#00224e");
    CHECK(hex_of(report::map_colours(MapGround::dark).exposure.back()) == "#fee838");
}
