// SPDX-License-Identifier: Apache-2.0

// A made-up country of stands: each stand has a tint of its own that all of its cells share, beside
// a weak sign of its class. Who has seen a stand knows its tint, and so its class.
#include "imagery/judgement.hpp"
#include "imagery/planes.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <random>
#include <set>
#include <string>
#include <vector>

using namespace fuelring;

namespace {

constexpr std::size_t stands = 24;
constexpr std::size_t cells_of_stand = 40;

float noise(std::mt19937& random)
{
    float sum = 0;
    for (int k = 0; k < 12; ++k) // of deviation 1
        sum += static_cast<float>(random() >> 8) / 16777216.0F;
    return sum - 6;
}

/// `sign`: how far the classes are apart in the feature that tells them.
TrainingSet country(float sign, unsigned seed = 5)
{
    std::mt19937 random{seed};
    TrainingSet set;
    set.groups = {FuelGroup::conifer, FuelGroup::broadleaved};
    set.cells.features = 3;
    for (std::size_t k = 0; k < stands; ++k) {
        const std::uint8_t told = k % 2 == 0 ? 0 : 1;
        TrainingArea area;
        area.group = set.groups[told];
        area.block = "stand " + std::to_string(k);
        area.cells = cells_of_stand;
        set.areas.push_back(area);
        const float tint = 10 * noise(random);
        const float hue = 10 * noise(random);
        for (std::size_t c = 0; c < cells_of_stand; ++c) {
            const float features[] = {tint + noise(random), hue + noise(random),
                                      (told == 0 ? sign : 0) + noise(random)};
            set.cells.add(features, told, 1);
            set.area_of.push_back(static_cast<std::uint32_t>(k));
        }
    }
    return set;
}

std::vector<std::size_t> by_stand(const TrainingSet& set)
{
    const auto folds = folds_of(set.areas, 1, 100);
    std::vector<std::size_t> result;
    for (const std::uint32_t area : set.area_of)
        result.push_back(folds[area]);
    return result;
}

double balanced(const TrainingSet& set, const std::vector<std::size_t>& folds, int jobs = 2)
{
    return judged(set, hold_out(set, folds, jobs, [] {})).cells.balanced_accuracy.value();
}

} // namespace

TEST_CASE("single cells held out promise what whole blocks do not keep")
{
    const TrainingSet set = country(2);
    const double cells = balanced(set, folds_by_cell(set.cells.size()));
    const double blocks = balanced(set, by_stand(set));
    CHECK(cells > 0.9); // the tint tells nearly all
    // Two normal classes two deviations apart can be told with 0.84 at best.
    CHECK(blocks < 0.85);
    CHECK(blocks > 0.55);
    CHECK(cells > blocks + 0.05);
}

TEST_CASE("where nothing tells the classes, held-out blocks say so")
{
    double sum = 0;
    for (unsigned seed = 1; seed <= 4; ++seed) {
        const TrainingSet set = country(0, seed);
        sum += balanced(set, by_stand(set));
    }
    CHECK(sum / 4 > 0.4); // not below either: a model must not lean away from what is left out
    CHECK(sum / 4 < 0.6);
}

TEST_CASE("what is held out does not depend on the number of workers")
{
    const TrainingSet set = country(2);
    const auto folds = by_stand(set);
    const HeldOut one = hold_out(set, folds, 1, [] {});
    for (const int jobs : {2, 7}) {
        const HeldOut more = hold_out(set, folds, jobs, [] {});
        CHECK(one.likelihoods == more.likelihoods);
        CHECK(one.shares == more.shares);
    }
}

TEST_CASE("a class that a fold alone has is told with likelihood 0 there")
{
    TrainingSet set = country(2);
    set.groups.push_back(FuelGroup::water);
    for (std::size_t i = 0; i < cells_of_stand; ++i)
        set.cells.classes[i] = 2;
    set.areas[0].group = FuelGroup::water;
    const HeldOut held = hold_out(set, by_stand(set), 2, [] {});
    for (std::size_t i = 0; i < cells_of_stand; ++i)
        CHECK(held.likelihoods[i * 3 + 2] == 0);
}

TEST_CASE("likelihoods of a cell sum to 1, alone as among others, for two classes and for three")
{
    for (const bool three : {false, true}) {
        TrainingSet set = country(2);
        if (three)
            for (std::size_t i = 0; i < set.cells.size(); i += 3)
                set.cells.classes[i] = 2;
        const std::size_t classes = three ? 3 : 2;
        const TreeModel model = TreeModel::learned(set.cells, classes);
        std::vector<Plane> planes(3);
        for (std::size_t i = 0; i < set.cells.size(); ++i)
            for (std::size_t k = 0; k < 3; ++k)
                planes[k].push_back(set.cells.at(i)[k]);
        const std::vector<std::span<const float>> spans(planes.begin(), planes.end());
        std::vector<float> all(set.cells.size() * classes);
        model.apply(spans, all);
        for (std::size_t i = 0; i < set.cells.size(); i += 17) {
            const auto alone = model.likelihoods(set.cells.at(i));
            float sum = 0;
            for (std::size_t k = 0; k < classes; ++k) {
                CHECK(alone[k] == all[k * set.cells.size() + i]);
                sum += alone[k];
            }
            CHECK(sum == doctest::Approx(1));
        }
    }
}

TEST_CASE("areas without a block are held out by place, neighbours together")
{
    std::vector<TrainingArea> areas;
    for (int k = 0; k < 40; ++k) {
        TrainingArea area;
        area.cells = 5;
        area.col = 400.0 * (k / 2) + 10 * (k % 2); // pairs, 10 m apart
        area.row = 20;
        areas.push_back(area);
    }
    const auto folds = folds_of(areas, 1, 100);
    std::set<std::size_t> different(folds.begin(), folds.end());
    CHECK(different.size() >= 10);
    for (std::size_t k = 0; k < areas.size(); k += 2)
        CHECK(folds[k] == folds[k + 1]);
}

TEST_CASE("blocks that are more than the folds share them, each in one")
{
    std::vector<TrainingArea> areas(90);
    for (std::size_t k = 0; k < areas.size(); ++k) {
        areas[k].block = std::to_string(k / 2);
        areas[k].cells = 1;
    }
    const auto folds = folds_of(areas, 1, 30);
    CHECK(*std::ranges::max_element(folds) == 29);
    for (std::size_t k = 0; k < areas.size(); k += 2)
        CHECK(folds[k] == folds[k + 1]);
}
