// SPDX-License-Identifier: Apache-2.0
#include "imagery/calibration.hpp"
#include "imagery/judgement.hpp"

#include <doctest/doctest.h>

#include <random>
#include <vector>

using namespace fuelring;

namespace {

/// Cells whose truth is 1 as often as `chance` of their share says. Seeded.
struct Drawn {
    std::vector<float> shares, truth;
};
template <typename Chance>
Drawn draw(std::size_t count, Chance&& chance)
{
    std::mt19937 random{11};
    const auto next = [&] { return static_cast<float>(random() >> 8) / 16777216.0F; };
    Drawn drawn;
    for (std::size_t i = 0; i < count; ++i) {
        drawn.shares.push_back(next());
        drawn.truth.push_back(next() < chance(drawn.shares.back()) ? 1.0F : 0.0F);
    }
    return drawn;
}

double mean_of(const std::vector<float>& values)
{
    double sum = 0;
    for (const float v : values)
        sum += v;
    return sum / static_cast<double>(values.size());
}

} // namespace

TEST_CASE("calibrated shares have the mean of the truth, whatever the model's bias")
{
    // The logistic likelihood with an offset is largest where both means agree.
    const Drawn drawn = draw(5000, [](float s) { return s * s; });
    const ShareCalibration calibrated{drawn.shares, drawn.truth};
    std::vector<float> after;
    for (const float share : drawn.shares)
        after.push_back(calibrated(share));
    CHECK(mean_of(drawn.shares) - mean_of(drawn.truth) > 0.1);
    CHECK(mean_of(after) == doctest::Approx(mean_of(drawn.truth)).epsilon(1e-6));
}

TEST_CASE("calibration keeps the order of shares and stays between 0 and 1")
{
    const Drawn drawn = draw(500, [](float s) { return s > 0.7F ? 0.9F : 0.05F; });
    const ShareCalibration calibrated{drawn.shares, drawn.truth};
    float before = 0;
    for (int k = 0; k <= 100; ++k) {
        const float now = calibrated(static_cast<float>(k) / 100);
        CHECK(now >= before);
        CHECK(now > 0);
        CHECK(now < 1);
        before = now;
    }
}

TEST_CASE("shares that are right already stay as they are")
{
    const Drawn drawn = draw(20000, [](float s) { return s; });
    const ShareCalibration calibrated{drawn.shares, drawn.truth};
    // 20,000 draws: a standard error of the mean of 0.5 / sqrt(20000) = 0.0035.
    for (const float share : {0.1F, 0.3F, 0.5F, 0.7F, 0.9F})
        CHECK(calibrated(share) == doctest::Approx(share).epsilon(0.03));
}

TEST_CASE("the area under the curve counts the pairs that are in order, ties as half")
{
    // Conifers 0.9, 0.4, 0.5; others 0.5, 0.1: of six pairs 4 in order, 1 tied, 1 not.
    const std::vector<float> shares{0.9F, 0.4F, 0.5F, 0.5F, 0.1F};
    const std::vector<float> truth{1, 1, 1, 0, 0};
    const ConiferTest test = conifer_test(shares, truth);
    CHECK(test.area_under_curve.value() == doctest::Approx(4.5 / 6));
    CHECK(test.accuracy == doctest::Approx(3.0 / 5)); // 0.5 is not above 0.5
    CHECK(test.balanced_accuracy.value() == doctest::Approx((1.0 / 3 + 1) / 2));
}

TEST_CASE("without conifers, or with nothing else, there is no curve and no balance")
{
    const ConiferTest test = conifer_test(std::vector<float>{0.2F, 0.3F}, std::vector<float>{0, 0});
    CHECK(!test.area_under_curve);
    CHECK(!test.balanced_accuracy);
    CHECK(test.accuracy == 1);
}
