// SPDX-License-Identifier: Apache-2.0

// What is not known is empty, what is wrong is refused.
#include "unit/change/matrices.hpp"

#include <fuelring/error.hpp>

#include <doctest/doctest.h>

#include <functional>
#include <limits>
#include <string>

using namespace fuelring;
using namespace fuelring::test;

namespace {

constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();
constexpr double infinite = std::numeric_limits<double>::infinity();

} // namespace

TEST_CASE("a class with one point has a figure, and nothing that needs it has an error")
{
    const ConfusionMatrix matrix = matrix_of({1, 0, 0, /**/ 0, 8, 2, /**/ 0, 1, 9});
    const Accuracy accuracy = assess(matrix, std::vector{1.0, 50., 49.});
    CHECK(accuracy.overall.value == doctest::Approx(0.01 + 0.4 + 0.441).epsilon(1e-14));
    CHECK_FALSE(accuracy.overall.se.has_value());
    CHECK_FALSE(accuracy.overall.half_width().has_value());
    CHECK_FALSE(accuracy.classes[0].users->se.has_value());
    CHECK(accuracy.classes[1].users->se.has_value()); // by its own points alone
    for (const ClassAccuracy& c : accuracy.classes) {
        CHECK_FALSE(c.area.se.has_value());
        CHECK_FALSE(c.producers->se.has_value());
    }
}

TEST_CASE("a class that covers no ground needs no points and spoils nothing")
{
    const ConfusionMatrix with = matrix_of({8, 2, 0, /**/ 1, 9, 0, /**/ 0, 0, 0});
    const ConfusionMatrix without = matrix_of({8, 2, /**/ 1, 9});
    const Accuracy a = assess(with, std::vector{50.0, 50., 0.});
    const Accuracy b = assess(without, std::vector{50.0, 50.});
    CHECK(a.overall.value == b.overall.value);
    CHECK(a.overall.se == b.overall.se);
    CHECK_FALSE(a.classes[2].users.has_value());
    CHECK_FALSE(a.classes[2].producers.has_value());
    CHECK(a.classes[2].area.value == 0);
    CHECK(a.classes[2].area.se == 0.0);
}

TEST_CASE("a class that the map lacks is found by the reference")
{
    // Larch: no row of points, 5 of 50 points on ground that is mapped as pine.
    const ConfusionMatrix matrix = matrix_of({45, 5, /**/ 0, 0});
    const Accuracy accuracy = assess(matrix, std::vector{30.0, 0.});
    CHECK(accuracy.classes[1].area.value == doctest::Approx(3).epsilon(1e-14));
    CHECK(accuracy.classes[1].producers->value == 0); // none of it is mapped
    CHECK_FALSE(accuracy.classes[1].users.has_value());
}

TEST_CASE("a matrix or areas that say nothing certain are refused by name")
{
    struct Case {
        std::string why;
        ConfusionMatrix matrix;
        std::vector<double> area;
        std::string says;
    };
    const ConfusionMatrix good = matrix_of({8, 2, 1, 9});
    ConfusionMatrix tall = good, twice = good, nameless = good;
    tall.counts.pop_back();
    twice.classes[1] = twice.classes[0];
    nameless.classes[1].clear();
    const Case cases[] = {
        {"no points",
         matrix_of({8, 2, 0, 0}),
         {99, 1},
         "class class 2 covers 1% of the mapped land and has no reference points"},
        {"not square", tall, {1, 1}, "3 counts for 2 classes, which need 4"},
        {"two of a name", twice, {1, 1}, "class class 1 appears twice"},
        {"no name", nameless, {1, 1}, "class 2 has no name"},
        {"negative count",
         matrix_of({8, -2, 1, 9}),
         {1, 1},
         "-2 points mapped as class 1 that are class 2"},
        {"huge count", matrix_of({8, 2, 1, std::int64_t{1} << 62}), {1, 1}, "between 0 and"},
        {"empty", matrix_of({0, 0, 0, 0}), {1, 1}, "it has no points"},
        {"no classes", {}, {}, "it has no points"},
        {"few areas", good, {1}, "1 mapped areas for 2 classes"},
        {"no ground", good, {0, 0}, "mapped areas sum to 0"},
        {"negative area", good, {5, -1}, "an area of -1 is mapped as class 2"},
        {"area of nan", good, {not_a_number, 1}, "an area of nan is mapped as class 1"},
        {"infinite area", good, {infinite, 1}, "an area of inf"},
        {"areas too large", good, {1.5e308, 1.5e308}, "mapped areas sum to inf"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        const std::string message = refusal([&c] { assess(c.matrix, c.area); });
        CAPTURE(message);
        CHECK(message.find(c.says) != std::string::npos);
        CHECK(refusal([&c] {
                  weighted_area(c.matrix, c.area, std::vector<double>(c.matrix.size()));
              }) == message);
    }
}

TEST_CASE("weights are finite and one for each class")
{
    const ConfusionMatrix good = matrix_of({8, 2, 1, 9});
    const std::vector<double> area{1, 1};
    CHECK(refusal([&] { weighted_area(good, area, std::vector{1.0}); }) ==
          "1 weights for 2 classes");
    CHECK(refusal([&] {
              weighted_area(good, area, std::vector{1.0, not_a_number});
          }) == "a class has a weight that is not finite");
}

TEST_CASE("mapped areas are matched by name")
{
    ConfusionMatrix matrix = matrix_of({8, 2, 1, 9});
    matrix.classes = {"conifer", "other"};
    CHECK(areas_in_order(matrix, {{"other", 7}, {"conifer", 3}}) == std::vector{3.0, 7.0});
    CHECK(areas_in_order(matrix, {{"other", 7}}) == std::vector{0.0, 7.0});
    CHECK(areas_in_order(matrix, {{"other", 7}, {"larch", 0}}) == std::vector{0.0, 7.0});
    CHECK(refusal([&] {
              areas_in_order(matrix, {{"larch", 1}});
          }) ==
          "the confusion matrix: mapped class larch is missing; name classes alike in map and "
          "matrix, or add its row and column");
    CHECK(refusal([&] {
              areas_in_order(matrix, {{"other", 1}, {"other", 0}});
          }) == "mapped class other appears twice");
    CHECK(refusal([&] {
              areas_in_order(matrix, {{"other", -1}});
          }) == "an area of -1 is mapped as other");
}
