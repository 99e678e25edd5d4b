// SPDX-License-Identifier: Apache-2.0
#include "imagery/conifer_area.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <span>
#include <vector>

using namespace fuelring;

namespace {

/// `cells` of the land of which `share` was told.
LandTold land_of(std::int64_t cells, float share)
{
    LandTold land;
    for (std::int64_t k = 0; k < cells; ++k)
        land.add(share);
    return land;
}

/// Ten folds of ten cells each, all told `share`, of which `conifers` of each fold are.
std::vector<FoldErrors> ten_folds(float share, int conifers)
{
    std::vector<float> told, truth;
    std::vector<std::size_t> folds;
    for (std::size_t i = 0; i < 100; ++i) {
        told.push_back(share);
        truth.push_back(static_cast<int>(i % 10) < conifers ? 1.0F : 0.0F);
        folds.push_back(i / 10);
    }
    return errors_by_fold(told, truth, folds);
}

/// A forest in stands, each with a share of conifers of its own that the model guesses badly.
struct Forest {
    std::mt19937_64 random;
    double unit() { return static_cast<double>(random() >> 11) * 0x1.0p-53; }
    /// Told and true shares of a stand's cells; the model errs alike in all of them.
    void stand(int cells, std::vector<float>& told, std::vector<float>& truth)
    {
        const double share = unit();
        const double guess = std::clamp(share + 0.5 * (unit() - 0.5), 0.0, 1.0);
        for (int k = 0; k < cells; ++k) {
            told.push_back(static_cast<float>(guess));
            truth.push_back(unit() < share ? 1.0F : 0.0F);
        }
    }
};

} // namespace

TEST_CASE("land is corrected by what held-out cells miss in the same tenth")
{
    // Told 0.25 and true 0.4: 100 cells told 0.25 hold 100 x (0.25 + 0.15) = 40.
    const std::vector<FoldErrors> folds = ten_folds(0.25F, 4);
    const ConiferCells conifers = conifer_cells(land_of(100, 0.25F), folds);
    CHECK(conifers.told == doctest::Approx(25));
    CHECK(conifers.estimate == doctest::Approx(40));
    // All folds agree: redrawing them changes nothing.
    CHECK(conifers.interval_95.value().low == doctest::Approx(40));
    CHECK(conifers.interval_95.value().high == doctest::Approx(40));
    // Nothing was held out of which 0.75 was told: that land stays as it was told.
    CHECK(conifer_cells(land_of(100, 0.75F), folds).estimate == doctest::Approx(75));
}

TEST_CASE("estimates stay within the land")
{
    CHECK(conifer_cells(land_of(10, 0.95F), ten_folds(0.92F, 10)).estimate <= 10);
    CHECK(conifer_cells(land_of(10, 0.01F), ten_folds(0.09F, 0)).estimate >= 0);
}

TEST_CASE("fewer than ten folds give no interval")
{
    std::vector<FoldErrors> folds = ten_folds(0.25F, 4);
    CHECK(conifer_cells(land_of(100, 0.25F), folds).interval_95);
    folds.pop_back();
    CHECK(!conifer_cells(land_of(100, 0.25F), folds).interval_95);
}

TEST_CASE("the interval holds the truth about as often as it says")
{
    // 300 forests of 200 stands, 20 of which are held out; 0.95 less three standard errors of 300
    // draws (0.013 each) is 0.91.
    constexpr std::size_t stands = 200, held_out = 20, stand_cells = 50;
    constexpr int trials = 300;
    int held = 0;
    double bias = 0;
    Forest forest{std::mt19937_64{3}};
    for (int trial = 0; trial < trials; ++trial) {
        std::vector<float> told, truth;
        for (std::size_t k = 0; k < stands; ++k)
            forest.stand(stand_cells, told, truth);
        LandTold land;
        double conifers = 0;
        std::vector<std::size_t> folds;
        for (std::size_t i = 0; i < told.size(); ++i) {
            land.add(told[i]);
            conifers += static_cast<double>(truth[i]);
            if (i < held_out * stand_cells)
                folds.push_back(i / stand_cells);
        }
        const auto sample = [&](const std::vector<float>& of) {
            return std::span{of}.first(folds.size());
        };
        const ConiferCells found =
            conifer_cells(land, errors_by_fold(sample(told), sample(truth), folds));
        bias += (found.estimate - conifers) / static_cast<double>(told.size()) / trials;
        held += found.interval_95->low <= conifers && conifers <= found.interval_95->high ? 1 : 0;
    }
    CAPTURE(held);
    CHECK(std::abs(bias) < 0.01);
    CHECK(held >= 0.91 * trials);
}
