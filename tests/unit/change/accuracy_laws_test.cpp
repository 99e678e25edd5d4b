// SPDX-License-Identifier: Apache-2.0

// Laws that hold for every matrix, on seeded random ones. Tolerances: a figure is a sum of a few
// products of magnitude 1, so 1e-13 of it is some hundred roundings.
#include "unit/change/matrices.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numeric>

using namespace fuelring;
using namespace fuelring::test;
using doctest::Approx;

namespace {

constexpr double tight = 1e-13;

void check_same(const Estimate& a, const Estimate& b, double factor = 1)
{
    CHECK(a.value * factor == Approx(b.value).epsilon(tight));
    REQUIRE(a.se.has_value() == b.se.has_value());
    if (a.se)
        CHECK(*a.se * factor == Approx(*b.se).epsilon(tight));
}

void check_same(const std::optional<Estimate>& a, const std::optional<Estimate>& b)
{
    REQUIRE(a.has_value() == b.has_value());
    if (a)
        check_same(*a, *b);
}

/// Classes of the map in another order: the new class k was class order[k].
RandomMap reordered(const RandomMap& map, const std::vector<std::size_t>& order)
{
    RandomMap other = map;
    const std::size_t n = order.size();
    for (std::size_t i = 0; i < n; ++i) {
        other.matrix.classes[i] = map.matrix.classes[order[i]];
        other.area[i] = map.area[order[i]];
        for (std::size_t j = 0; j < n; ++j)
            other.matrix.counts[i * n + j] = map.matrix.at(order[i], order[j]);
    }
    return other;
}

} // namespace

TEST_CASE("adjusted areas sum to the mapped area")
{
    for (unsigned seed = 1; seed <= 50; ++seed) {
        CAPTURE(seed);
        const RandomMap map{seed, 2 + seed % 8};
        const Accuracy accuracy = assess(map.matrix, map.area);
        double sum = 0;
        double shares = 0;
        for (const ClassAccuracy& c : accuracy.classes) {
            sum += c.area.value;
            shares += c.area_share.value;
        }
        CHECK(accuracy.total_area == std::accumulate(map.area.begin(), map.area.end(), 0.0));
        CHECK(sum == Approx(accuracy.total_area).epsilon(1e-14));
        CHECK(shares == Approx(1).epsilon(1e-14));
    }
}

TEST_CASE("a map without errors keeps its areas, with a standard error of 0")
{
    const ConfusionMatrix matrix = matrix_of({30, 0, 0, /**/ 0, 7, 0, /**/ 0, 0, 2});
    const std::vector<double> area{12.3, 456.7, 0.089};
    const Accuracy accuracy = assess(matrix, area);
    for (std::size_t k = 0; k < 3; ++k) {
        CAPTURE(k);
        const ClassAccuracy& c = accuracy.classes[k];
        CHECK(c.area.value == Approx(area[k]).epsilon(1e-15));
        CHECK(c.area.se == 0.0);
        CHECK(c.users->value == 1);
        CHECK(c.users->se == 0.0);
        CHECK(c.producers->value == 1);
        CHECK(c.producers->se == 0.0);
    }
    CHECK(accuracy.overall.value == Approx(1).epsilon(1e-15));
    CHECK(accuracy.overall.se == 0.0);
}

TEST_CASE("the order of classes changes nothing but the order")
{
    for (unsigned seed = 1; seed <= 20; ++seed) {
        CAPTURE(seed);
        RandomMap map{seed};
        std::vector<std::size_t> order{0, 1, 2, 3, 4};
        for (std::size_t k = order.size(); k > 1; --k)
            std::swap(order[k - 1],
                      order[static_cast<std::size_t>(map.below(static_cast<unsigned>(k)))]);
        const RandomMap other = reordered(map, order);
        const Accuracy a = assess(map.matrix, map.area);
        const Accuracy b = assess(other.matrix, other.area);
        check_same(a.overall, b.overall);
        for (std::size_t k = 0; k < order.size(); ++k) {
            CAPTURE(k);
            check_same(a.classes[order[k]].users, b.classes[k].users);
            check_same(a.classes[order[k]].producers, b.classes[k].producers);
            check_same(a.classes[order[k]].area, b.classes[k].area);
        }
    }
}

TEST_CASE("another unit of area scales areas and their errors, and no accuracy")
{
    const RandomMap map{7};
    std::vector<double> square_feet = map.area;
    for (double& a : square_feet)
        a *= 107'639.104;
    const Accuracy a = assess(map.matrix, map.area);
    const Accuracy b = assess(map.matrix, square_feet);
    check_same(a.overall, b.overall);
    for (std::size_t k = 0; k < a.classes.size(); ++k) {
        CAPTURE(k);
        check_same(a.classes[k].area, b.classes[k].area, 107'639.104);
        check_same(a.classes[k].area_share, b.classes[k].area_share);
        check_same(a.classes[k].producers, b.classes[k].producers);
    }
}

TEST_CASE("four times the points halve the standard error, but for the n - 1")
{
    // s^2 / n = p (1 - p) / (n - 1), so with one class of errors the ratio is
    // sqrt((n - 1) / (4 n - 1)).
    const ConfusionMatrix small = matrix_of({18, 2, /**/ 0, 30});
    const ConfusionMatrix large = matrix_of({72, 8, /**/ 0, 120});
    const std::vector<double> area{40, 60};
    const double ratio = *assess(large, area).overall.se / *assess(small, area).overall.se;
    CHECK(ratio == Approx(std::sqrt(19.0 / 79.0)).epsilon(tight));
}

TEST_CASE("the area of a group is that of its classes, joined in map and reference")
{
    for (unsigned seed = 1; seed <= 20; ++seed) {
        CAPTURE(seed);
        const RandomMap map{seed};
        const Accuracy accuracy = assess(map.matrix, map.area);
        const std::vector<double> all(5, 1.0), second{0, 1, 0, 0, 0}, group{0, 1, 1, 0, 0};
        check_same(weighted_area(map.matrix, map.area, second), accuracy.classes[1].area);
        const Estimate ground = weighted_area(map.matrix, map.area, all);
        CHECK(ground.value == Approx(accuracy.total_area).epsilon(1e-14));
        CHECK(*ground.se <= 1e-14 * accuracy.total_area); // the whole is known
        CHECK(
            weighted_area(map.matrix, map.area, group).value ==
            Approx(accuracy.classes[1].area.value + accuracy.classes[2].area.value).epsilon(tight));
    }
}

TEST_CASE("a group and the rest of the ground are uncertain by the same area")
{
    const RandomMap map{11};
    const Estimate group = weighted_area(map.matrix, map.area, std::vector{1.0, 0.25, 0., 0., 0.});
    const Estimate rest = weighted_area(map.matrix, map.area, std::vector{0.0, 0.75, 1., 1., 1.});
    CHECK(*group.se == Approx(*rest.se).epsilon(tight));
    // Errors do not add up in squares: what one class gains another loses.
    const ConfusionMatrix two = matrix_of({18, 2, /**/ 3, 27});
    const std::vector<double> area{40, 60};
    const Accuracy accuracy = assess(two, area);
    CHECK(*accuracy.classes[0].area.se == Approx(*accuracy.classes[1].area.se).epsilon(tight));
}

TEST_CASE("mixed stands weigh by their conifer share")
{
    // All ground mapped as one class; of 10 points 4 are conifer, 4 mixed (half), 2 grass: mean
    // 0.6, squares 4 x 0.16 + 4 x 0.01 + 2 x 0.36 = 1.4, variance of the mean 1.4 / 9 / 10.
    const ConfusionMatrix matrix = matrix_of({4, 4, 2, /**/ 0, 0, 0, /**/ 0, 0, 0});
    const Estimate conifer =
        weighted_area(matrix, std::vector{200.0, 0., 0.}, std::vector{1.0, 0.5, 0.0});
    CHECK(conifer.value == Approx(120).epsilon(tight));
    CHECK(*conifer.se == Approx(200 * std::sqrt(1.4 / 90)).epsilon(tight));
}
