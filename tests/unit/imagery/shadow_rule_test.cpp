// SPDX-License-Identifier: Apache-2.0
#include "imagery/shadow_rule.hpp"

#include <doctest/doctest.h>

#include <limits>

using namespace fuelring;
using enum BandRole;

namespace {

constexpr float no_light = std::numeric_limits<float>::quiet_NaN();

/// Red 50 and near infrared 120 in nine cells of ten.
ShadowRule looked(const std::vector<ImageBands>& images)
{
    ShadowRule rule{images};
    Plane red(10, 50.0F), infrared(10, 120.0F);
    red[0] = infrared[0] = 2;
    rule.look({{red, infrared}});
    return rule;
}

} // namespace

TEST_CASE("dark is what is below 0.4 of the median in visible light and near infrared alike")
{
    const ShadowRule rule = looked({{{red, near_infrared}}});
    // Shade; a dark tree; a red roof; just at the limits, 20 and 48; unknown.
    const std::vector<Plane> bands{{10, 10, 90, 20, no_light, 19}, {30, 90, 30, 48, 30, 47}};
    CHECK(rule.dark_cells(bands) == std::vector<std::uint8_t>{1, 0, 0, 0, 0, 1});
}

TEST_CASE("an image without near infrared, or without light, tells no shadow")
{
    CHECK(!ShadowRule{{{{red, green, blue}}}}.can_tell());
    CHECK(!ShadowRule{{{{near_infrared}}, {{height}}}}.can_tell());
    CHECK(ShadowRule{{{{height}}, {{near_infrared, green}}}}.can_tell());
}

TEST_CASE("shade in one of two images is shade")
{
    ShadowRule rule{{{{red, near_infrared}}, {{red, near_infrared}, Season::leaf_off}}};
    const Plane red(4, 50.0F), infrared(4, 120.0F);
    rule.look({{red, infrared, red, infrared}});
    CHECK(rule.dark_cells({{10, 60, 60}, {30, 99, 99}, {60, 60, 10}, {99, 99, 30}}) ==
          std::vector<std::uint8_t>{1, 0, 1});
}

TEST_CASE("where nothing is known nothing is dark")
{
    ShadowRule rule{{{{red, near_infrared}}}};
    CHECK(rule.dark_cells({{1}, {1}}) == std::vector<std::uint8_t>{0});
    rule.look({{{no_light}, {no_light}}});
    CHECK(rule.dark_cells({{1}, {1}}) == std::vector<std::uint8_t>{0});
}
