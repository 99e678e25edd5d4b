// SPDX-License-Identifier: Apache-2.0
#include "unit/library/refused.hpp"

#include <fuelring/statistics/accuracy.hpp>
#include <fuelring/statistics/sample_plan.hpp>

#include <doctest/doctest.h>

#include <limits>

using namespace fuelring;
using namespace fuelring::test;

TEST_CASE("accuracies ask for a square matrix of points and as many areas")
{
    const ConfusionMatrix good{{"a", "b"}, {40, 3, 2, 55}};
    const std::vector<double> areas{10, 90};
    const auto assessing = [](const ConfusionMatrix& m, std::vector<double> mapped) {
        return [m, mapped] { (void)assess(m, mapped); };
    };
    const auto weighing = [&](std::vector<double> weight) {
        return [&good, &areas, weight] { (void)weighted_area(good, areas, weight); };
    };
    const Refused rows[] = {
        {"not square", assessing({{"a", "b"}, {1, 2, 3}}, areas), "3 counts for 2 classes"},
        {"empty", assessing({}, {}), "it has no points"},
        {"no name", assessing({{"a", ""}, {1, 2, 3, 4}}, areas), "class 2 has no name"},
        {"a name twice", assessing({{"a", "a"}, {1, 2, 3, 4}}, areas), "appears twice"},
        {"below 0", assessing({{"a", "b"}, {1, -2, 3, 4}}, areas), "-2 points mapped as a"},
        {"too many", assessing({{"a", "b"}, {1, 2'000'000'000, 3, 4}}, areas), "a count lies"},
        {"no points", assessing({{"a", "b"}, {0, 0, 0, 0}}, areas), "it has no points"},
        {"no points of a class", assessing({{"a", "b"}, {0, 0, 3, 4}}, areas),
         "no reference points"},
        {"fewer areas", assessing(good, {1}), "1 mapped areas for 2 classes"},
        {"area below 0", assessing(good, {1, -1}), "an area of -1 is mapped as b"},
        {"NaN area", assessing(good, {1, not_a_number}), "an area of nan"},
        {"no area", assessing(good, {0, 0}), "mapped areas sum to 0"},
        {"endless area", assessing(good, {1e308, 1e308}), "mapped areas sum to inf"},
        {"fewer weights", weighing({1}), "1 weights for 2 classes"},
        {"NaN weight", weighing({1, not_a_number}), "a weight that is not finite"},
        {"endless weight", weighing({1e307, 1e307}), "weights are too large"},
        {"no such class", [&] { (void)good.at(0, 2); }, "class 2 of 2"},
        {"no such row", [&] { (void)good.points(2); }, "class 2 of 2"},
        {"no matrix", [] { (void)ConfusionMatrix{}.points(0); }, "of 0"},
        {"an unknown area",
         [&] {
             (void)areas_in_order(good, {{"c", 1}});
         },
         "class c is missing"},
        {"an area twice",
         [&] {
             (void)areas_in_order(good, {{"a", 1}, {"a", 1}});
         },
         "appears twice"},
        {"an area of NaN",
         [&] {
             (void)areas_in_order(good, {{"a", not_a_number}});
         },
         "an area of nan"},
    };
    check_refused(rows);
}

TEST_CASE("a sample is planned for shares, deviations and errors that are some")
{
    using Strata = std::vector<Stratum>;
    const Strata good{{0.4, 0.5}, {0.6, 0.3}};
    const auto shares = [](std::vector<double> areas, std::vector<double> expected) {
        return [=] { (void)expected_strata(areas, expected); };
    };
    const auto fewest = [](Strata strata, double se) {
        return [=] { (void)fewest_points(strata, se); };
    };
    const auto sharing = [&good](std::int64_t total, std::int64_t minimum) {
        return [=, &good] { (void)allocate(good, total, Allocation::equal, minimum); };
    };
    const auto expecting = [&good](std::vector<std::int64_t> points) {
        return [=, &good] { (void)expected_se(good, points); };
    };
    const Refused rows[] = {
        {"fewer shares", shares({1, 2}, {0.5}), "2 mapped areas and 1 expected"},
        {"area below 0", shares({1, -2}, {0.5, 0.5}), "a mapped area of -2"},
        {"no area", shares({0, 0}, {0.5, 0.5}), "sum to 0"},
        {"nothing", shares({}, {}), "sum to 0"},
        {"share above 1", shares({1, 2}, {0.5, 1.5}), "an expected share of 1.5"},
        {"NaN share", shares({1, 2}, {0.5, not_a_number}), "an expected share of nan"},
        {"ground above 1", fewest({{0.7, 0.5}, {0.6, 0.5}}, 0.1), "sum to 1 at most"},
        {"ground below 0", fewest({{-0.1, 0.5}, {0.6, 0.5}}, 0.1), "lie between 0 and 1"},
        {"no ground", fewest({{0, 0.5}}, 0.1), "not all 0"},
        {"no strata", fewest({}, 0.1), "not all 0"},
        {"deviation below 0", fewest({{1, -0.5}}, 0.1), "not below 0"},
        {"NaN deviation", fewest({{1, not_a_number}}, 0.1), "deviations are finite"},
        {"endless deviation", fewest({{1, 1e200}}, 0.1), "deviations are finite"},
        {"no error", fewest(good, 0), "a wanted standard error of 0"},
        {"NaN error", fewest(good, not_a_number), "a wanted standard error of nan"},
        {"too small an error", fewest(good, 1e-9), "is the most"},
        {"too few points", sharing(3, 2), "3 points for 2 classes"},
        {"too many points", sharing(2'000'000'000, 2), "is the most"},
        {"no minimum", sharing(100, 0), "a minimum of 0 points"},
        {"huge minimum", sharing(100, std::numeric_limits<std::int64_t>::max()), "a minimum of"},
        {"fewer numbers", expecting({5}), "points for 1 classes where there are 2"},
        {"a class without points", expecting({5, 0}), "class 2 gets 0 points"},
        {"points below 0", expecting({5, -1}), "class 2 gets -1 points"},
        {"a plan of no error", [&] { (void)plan_sample(good, -1, Allocation::optimal); },
         "a wanted standard error of -1"},
        {"a plan of no minimum", [&] { (void)plan_sample(good, 0.1, Allocation::optimal, 0); },
         "a minimum of 0"},
    };
    check_refused(rows);
}
