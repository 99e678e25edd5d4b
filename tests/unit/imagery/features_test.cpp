// SPDX-License-Identifier: Apache-2.0
#include "imagery/features.hpp"
#include "imagery/winter_rule.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <random>
#include <string_view>

using namespace fuelring;
using enum BandRole;

namespace {

constexpr float unknown = std::numeric_limits<float>::quiet_NaN();

Plane random_plane(WindowSize size, unsigned seed)
{
    std::mt19937 random{seed};
    Plane plane(size.cells());
    for (float& v : plane)
        v = static_cast<float>(random() % 1000) + 1;
    return plane;
}

/// A part of a plane.
Plane cut(const Plane& plane, WindowSize size, int col, int row, WindowSize part)
{
    Plane result;
    for (int r = 0; r < part.rows; ++r)
        for (int c = 0; c < part.cols; ++c)
            result.push_back(plane[static_cast<std::size_t>((row + r) * size.cols + col + c)]);
    return result;
}

} // namespace

TEST_CASE("means and deviations of a square are those of its known cells")
{
    // 1 2 3
    // 4 ? 6   mean of eight cells 5; squares sum to 260: deviation sqrt(260 / 8 - 25)
    // 7 8 9
    const Plane plane{1, 2, 3, 4, unknown, 6, 7, 8, 9};
    const Surroundings around = surroundings(plane, {3, 3}, 1);
    CHECK(around.mean[4] == doctest::Approx(5));
    CHECK(around.deviation[4] == doctest::Approx(std::sqrt(260.0 / 8 - 25)));
    CHECK(around.mean[0] == doctest::Approx((1 + 2 + 4) / 3.0)); // at the edge: what is there
    CHECK(largest_around(plane, {3, 3}, 1)[0] == 4);
}

TEST_CASE("a square without a known cell is unknown, not zero")
{
    const Plane plane(9, unknown);
    CHECK(std::isnan(surroundings(plane, {3, 3}, 1).mean[4]));
    CHECK(std::isnan(largest_around(plane, {3, 3}, 1)[4]));
}

TEST_CASE("features of a cell have the same bits in any window that holds its halo")
{
    const FeaturePlan plan{{{{blue, green, red, near_infrared}, Season::leaf_on},
                            {{red, near_infrared}, Season::leaf_off},
                            {{height}, Season::leaf_on}},
                           1.0};
    const WindowSize size{40, 30};
    std::vector<Plane> bands;
    for (unsigned k = 0; k < plan.band_count(); ++k)
        bands.push_back(random_plane(size, k + 1));
    const auto whole = plan.compute(bands, size);
    const WindowSize part{17, 13};
    std::vector<Plane> cut_bands;
    for (const Plane& band : bands)
        cut_bands.push_back(cut(band, size, 9, 8, part));
    const auto of_part = plan.compute(cut_bands, part);
    REQUIRE(whole.size() == plan.count());
    REQUIRE(of_part.size() == plan.count());
    const int halo = plan.halo();
    for (std::size_t k = 0; k < whole.size(); ++k) {
        CAPTURE(plan.names()[k]);
        for (int r = halo; r < part.rows - halo; ++r)
            for (int c = halo; c < part.cols - halo; ++c)
                CHECK(of_part[k][static_cast<std::size_t>(r * part.cols + c)] ==
                      whole[k][static_cast<std::size_t>((r + 8) * size.cols + c + 9)]);
    }
}

TEST_CASE("a normalised difference does not change with the brightness of the image")
{
    const FeaturePlan plan{{{{red, near_infrared}, Season::leaf_on}}, 1.0};
    const WindowSize size{9, 9};
    std::vector<Plane> bands{random_plane(size, 1), random_plane(size, 2)};
    const auto before = plan.compute(bands, size);
    for (Plane& band : bands)
        for (float& v : band)
            v *= 2; // exact
    const auto after = plan.compute(bands, size);
    for (std::size_t k = 0; k < plan.count(); ++k)
        if (plan.names()[k].find("difference") != std::string::npos)
            CHECK(before[k] == after[k]);
}

TEST_CASE("surface and terrain make a height, and two seasons a fall")
{
    const FeaturePlan heights{{{{surface, terrain}, Season::leaf_on}}, 1.0};
    CHECK(heights.has_height());
    const Plane above = heights.height({Plane{12}, Plane{5}}).value();
    CHECK(above[0] == 7);

    const FeaturePlan seasons{
        {{{red, near_infrared}, Season::leaf_on}, {{red, near_infrared}, Season::leaf_off}}, 1.0};
    REQUIRE(seasons.names().back() == "fall_without_leaves");
    // With leaves (8 - 2) / 10, without (3 - 2) / 5.
    const auto features = seasons.compute({Plane{2}, Plane{8}, Plane{2}, Plane{3}}, {1, 1});
    CHECK(features.back()[0] == doctest::Approx(0.6 - 0.2));
}

TEST_CASE("greenness of a season is that of its first image with near infrared and red")
{
    const FeaturePlan plan{{{{height}, Season::leaf_on},
                            {{red, near_infrared}, Season::leaf_off},
                            {{red, green}, Season::leaf_on}},
                           1.0};
    CHECK(plan.has_greenness(Season::leaf_off));
    CHECK(!plan.has_greenness(Season::leaf_on)); // no near infrared
    const std::vector<Plane> bands{Plane{9}, Plane{2}, Plane{3}, Plane{1}, Plane{1}};
    CHECK(plan.greenness(bands, {1, 1}, Season::leaf_off)[0] == doctest::Approx(0.2));
}

TEST_CASE("the rule asks height first, then winter, then summer")
{
    const WinterRule rule{0.25, 2};
    struct Case {
        std::string_view why;
        float height, winter;
        std::optional<float> summer;
        FuelGroup group;
    };
    const Case cases[] = {
        {"low, however green", 1.9F, 0.9F, 0.9F, FuelGroup::grass},
        {"at both thresholds", 2.0F, 0.25F, 0.0F, FuelGroup::conifer},
        {"just below the green", 2.0F, 0.24F, 0.6F, FuelGroup::broadleaved},
        {"green in neither season", 6.0F, 0.0F, 0.1F, FuelGroup::built},
        {"nobody saw it in summer", 6.0F, 0.0F, std::nullopt, FuelGroup::broadleaved},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        CHECK(group_by_rule(rule, c.height, c.winter, c.summer) == c.group);
    }
}
