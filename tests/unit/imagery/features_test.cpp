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

struct Surroundings {
    Plane mean, deviation, largest;
};
Surroundings surroundings(const Plane& plane, WindowSize size, int radius, int margin = 0)
{
    Surroundings around;
    const Squares squares{size, radius, margin};
    squares.mean_and_deviation(rows_of(plane, size), around.mean, around.deviation);
    squares.largest(rows_of(plane, size), around.largest);
    return around;
}

std::vector<Plane> computed(const FeaturePlan& plan, const std::vector<Plane>& bands,
                            WindowSize size, int margin = 0)
{
    std::vector<Plane> features;
    plan.compute(bands, size, margin, features);
    return features;
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
    CHECK(around.largest[0] == 4);
}

TEST_CASE("a square without a known cell is unknown, not zero")
{
    const Surroundings around = surroundings(Plane(9, unknown), {3, 3}, 1);
    CHECK(std::isnan(around.mean[4]));
    CHECK(std::isnan(around.largest[4]));
}

TEST_CASE("squares with a margin are those of the whole window, and of a plain sum")
{
    const WindowSize size{23, 17};
    Plane plane = random_plane(size, 5);
    for (std::size_t k = 3; k < plane.size(); k += 11)
        plane[k] = unknown;
    for (const int radius : {0, 1, 2, 3, 15}) {
        const Surroundings whole = surroundings(plane, size, radius);
        for (const int margin : {0, 1, 3}) {
            CAPTURE(radius);
            CAPTURE(margin);
            const WindowSize inner = size.inside(margin);
            const Surroundings part = surroundings(plane, size, radius, margin);
            CHECK(part.mean.size() == inner.cells());
            for (int row = 0; row < inner.rows; ++row)
                for (int col = 0; col < inner.cols; ++col) {
                    const auto a = static_cast<std::size_t>(row * inner.cols + col);
                    const auto b =
                        static_cast<std::size_t>((row + margin) * size.cols + col + margin);
                    double sum = 0, known = 0, most = -1;
                    for (int r = std::max(0, row + margin - radius);
                         r <= std::min(size.rows - 1, row + margin + radius); ++r)
                        for (int c = std::max(0, col + margin - radius);
                             c <= std::min(size.cols - 1, col + margin + radius); ++c)
                            if (const float v = plane[static_cast<std::size_t>(r * size.cols + c)];
                                !std::isnan(v)) {
                                sum += static_cast<double>(v);
                                known += 1;
                                most = std::max(most, static_cast<double>(v));
                            }
                    if (known == 0) {
                        CHECK(std::isnan(part.mean[a]));
                        continue;
                    }
                    CHECK(part.mean[a] == whole.mean[b]);
                    CHECK(part.deviation[a] == whole.deviation[b]);
                    CHECK(part.largest[a] == whole.largest[b]);
                    CHECK(part.mean[a] == doctest::Approx(sum / known).epsilon(1e-5));
                    CHECK(part.largest[a] == most);
                }
        }
    }
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
    const auto whole = computed(plan, bands, size);
    const WindowSize part{17, 13};
    std::vector<Plane> cut_bands;
    for (const Plane& band : bands)
        cut_bands.push_back(cut(band, size, 9, 8, part));
    const auto of_part = computed(plan, cut_bands, part, plan.halo());
    REQUIRE(whole.size() == plan.count());
    REQUIRE(of_part.size() == plan.count());
    const int halo = plan.halo();
    const WindowSize inner = part.inside(halo);
    for (std::size_t k = 0; k < whole.size(); ++k) {
        CAPTURE(plan.names()[k]);
        for (int r = 0; r < inner.rows; ++r)
            for (int c = 0; c < inner.cols; ++c)
                CHECK(
                    of_part[k][static_cast<std::size_t>(r * inner.cols + c)] ==
                    whole[k][static_cast<std::size_t>((r + halo + 8) * size.cols + c + halo + 9)]);
    }
}

TEST_CASE("a normalised difference does not change with the brightness of the image")
{
    const FeaturePlan plan{{{{red, near_infrared}, Season::leaf_on}}, 1.0};
    const WindowSize size{9, 9};
    std::vector<Plane> bands{random_plane(size, 1), random_plane(size, 2)};
    const auto before = computed(plan, bands, size);
    for (Plane& band : bands)
        for (float& v : band)
            v *= 2; // exact
    const auto after = computed(plan, bands, size);
    for (std::size_t k = 0; k < plan.count(); ++k)
        if (plan.names()[k].find("difference") != std::string::npos)
            CHECK(before[k] == after[k]);
}

TEST_CASE("surface and terrain make a height, and two seasons a fall")
{
    const FeaturePlan heights{{{{surface, terrain}, Season::leaf_on}}, 1.0};
    CHECK(heights.has_height());
    const Plane above = heights.height({Plane{12}, Plane{5}}, {1, 1}, 0).value();
    CHECK(above[0] == 7);

    const FeaturePlan seasons{
        {{{red, near_infrared}, Season::leaf_on}, {{red, near_infrared}, Season::leaf_off}}, 1.0};
    REQUIRE(seasons.names().back() == "fall_without_leaves");
    // With leaves (8 - 2) / 10, without (3 - 2) / 5.
    const auto features = computed(seasons, {Plane{2}, Plane{8}, Plane{2}, Plane{3}}, {1, 1});
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
    CHECK(plan.greenness(bands, {1, 1}, 0, Season::leaf_off)[0] == doctest::Approx(0.2));
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
