// SPDX-License-Identifier: Apache-2.0
#include "support/fuel_fixtures.hpp"

#include <fuelring/error.hpp>

#include <doctest/doctest.h>

using namespace fuelring;
using namespace fuelring::test;

namespace {

RingArea ring(double ring_m2, double mapped_m2, double conifer_m2)
{
    return {ring_m2, mapped_m2, conifer_m2, 0, ring_m2 - mapped_m2};
}

StructureMeasure measured(const std::vector<RingArea>& rings)
{
    StructureMeasure m;
    m.rings = rings;
    return m;
}

const RingPlan two{{10, 30}, {3, 1}};

} // namespace

TEST_CASE("exposure is the weighted mean of the ring fractions in per cent")
{
    const auto m = measured({ring(100, 100, 50), ring(400, 400, 40)});
    CHECK(*exposure(m, two) == doctest::Approx(100 * (0.75 * 0.5 + 0.25 * 0.1)).epsilon(1e-15));
    RingPlan scaled = two;
    scaled.weight = {0.75, 0.25}; // weights are scaled to sum 1
    CHECK(*exposure(m, scaled) == doctest::Approx(*exposure(m, two)).epsilon(1e-15));
}

TEST_CASE("rings of which less than a thousandth is mapped take no part")
{
    const auto m = measured({ring(100, 0.0999, 0.0999), ring(400, 400, 40)});
    CHECK_FALSE(m.rings[0].conifer_frac().has_value());
    CHECK(*exposure(m, two) == doctest::Approx(10).epsilon(1e-15));
    const auto just = measured({ring(100, 0.1001, 0.1001), ring(400, 400, 40)});
    CHECK(*exposure(just, two) == doctest::Approx(77.5).epsilon(1e-15));
    CHECK_FALSE(exposure(measured({ring(100, 0, 0), ring(400, 0, 0)}), two).has_value());
}

TEST_CASE("points per square metre times conifer area give the exposure back")
{
    const auto m = measured({ring(100, 80, 50), ring(400, 390, 40)});
    const auto points = points_per_m2(m, two);
    CHECK(points[0] * 50 + points[1] * 40 == doctest::Approx(*exposure(m, two)).epsilon(1e-14));
}

TEST_CASE("areas within a distance add the rings up to it")
{
    const auto m = measured({ring(100, 80, 50), ring(400, 390, 40)});
    CHECK(within_distance(m, 0).conifer_m2 == 50);
    CHECK(within_distance(m, 1).conifer_m2 == 90);
    CHECK(within_distance(m, 1).ring_m2 == 500);
}

TEST_CASE("ring plans that make no sense are refused with the key")
{
    struct Case {
        std::string_view why;
        std::vector<double> outer_m, weight;
        std::string_view key;
    };
    const Case cases[] = {
        {"no distance", {}, {}, "rings.outer_m"},
        {"falling", {10, 5}, {1, 1}, "rings.outer_m"},
        {"equal", {10, 10}, {1, 1}, "rings.outer_m"},
        {"zero", {0, 10}, {1, 1}, "rings.outer_m"},
        {"not finite", {10, std::nan("")}, {1, 1}, "rings.outer_m"},
        {"counts differ", {10, 30}, {1}, "rings.weight"},
        {"negative", {10, 30}, {1, -1}, "rings.weight"},
        {"all zero", {10, 30}, {0, 0}, "rings.weight"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        try {
            RingPlan{c.outer_m, c.weight}.require_valid();
            FAIL("accepted");
        } catch (const Error& e) {
            CHECK(e.kind() == Failure::usage);
            CHECK(e.where() == c.key);
        }
    }
    RingPlan{}.require_valid(); // the defaults hold
}
