// SPDX-License-Identifier: Apache-2.0

// Published examples, to the last digit given. All of them come from counts and areas alone.
#include "unit/change/matrices.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <string_view>

using namespace fuelring;
using namespace fuelring::test;

namespace {

/// The value with as many decimals as `like` has.
std::string printed(double value, std::string_view like)
{
    const std::size_t point = like.find('.');
    const std::size_t decimals = point == like.npos ? 0 : like.size() - point - 1;
    return fmt::format("{:.{}f}", value, decimals);
}

void check_digits(double value, std::string_view published)
{
    CHECK(printed(value, published) == published);
}

} // namespace

TEST_CASE("areas and accuracies of the published worked example come out to the digits given")
{
    // Table 8 and the equations; half-widths with z = 1.959964. The paper's text misprints the
    // producer's half-widths of classes 2 and 4 as .23 and .01 (equation 7 gives .254 and .018),
    // and the standard error of the first as 34,097 pixels where its own figures give 34,907.
    struct Row {
        std::string_view users, users_half, producers, producers_half, share, share_se, ha, ha_se,
            ha_half;
    };
    const Row rows[] = {
        {"0.880000", "0.0740396", "0.748661", "0.213306", "0.0235086", "0.00349072", "21157.76",
         "3141.650", "6157.521"},
        {"0.733333", "0.100755", "0.847156", "0.254404", "0.0129846", "0.00212915", "11686.15",
         "1916.238", "3755.757"},
        {"0.927273", "0.0397446", "0.934509", "0.0343238", "0.317522", "0.00879242", "285769.93",
         "7913.182", "15509.55"},
        {"0.963077", "0.0205331", "0.961609", "0.0183612", "0.645985", "0.00922996", "581386.15",
         "8306.968", "16281.36"},
    };
    const WorkedExample example;
    const Accuracy accuracy = assess(example.matrix, example.mapped_ha);
    REQUIRE(accuracy.classes.size() == std::size(rows));
    for (std::size_t k = 0; k < std::size(rows); ++k) {
        CAPTURE(k);
        const ClassAccuracy& c = accuracy.classes[k];
        check_digits(c.users->value, rows[k].users);
        check_digits(*c.users->half_width(), rows[k].users_half);
        check_digits(c.producers->value, rows[k].producers);
        check_digits(*c.producers->half_width(), rows[k].producers_half);
        check_digits(c.area_share.value, rows[k].share);
        check_digits(*c.area_share.se, rows[k].share_se);
        check_digits(c.area.value, rows[k].ha);
        check_digits(*c.area.se, rows[k].ha_se);
        check_digits(*c.area.half_width(), rows[k].ha_half);
    }
    check_digits(accuracy.overall.value, "0.946512");
    check_digits(*accuracy.overall.half_width(), "0.0184833");
    CHECK(accuracy.total_area == 900'000);
}

TEST_CASE("the half-widths that the paper prints need its z of 1.96")
{
    const WorkedExample example;
    const Accuracy accuracy = assess(example.matrix, example.mapped_ha);
    const std::string_view ha[] = {"21158", "11686", "285770", "581386"};
    const std::string_view half[] = {"6158", "3756", "15510", "16282"};
    for (std::size_t k = 0; k < 4; ++k) {
        CAPTURE(k);
        check_digits(accuracy.classes[k].area.value, ha[k]);
        check_digits(*accuracy.classes[k].area.half_width(1.96), half[k]);
    }
    check_digits(*accuracy.classes[3].area.half_width(), "16281"); // not with the better z
    check_digits(accuracy.overall.value, "0.95");
    check_digits(*accuracy.overall.half_width(1.96), "0.02");
    // The standard error of the first class in pixels, of 10 million: misprinted as 34,097.
    check_digits(*accuracy.classes[0].area_share.se * 10'000'000, "34907");
}

TEST_CASE("a second published example comes out in pixels")
{
    // Olofsson P., Foody G.M., Stehman S.V., Woodcock C.E. (2013) Remote Sensing of Environment
    // 129:122-131, doi:10.1016/j.rse.2012.10.031; figures computed from its counts and pixels.
    const ConfusionMatrix matrix = matrix_of({97, 0, 3, /**/ 3, 279, 18, /**/ 2, 1, 97});
    const Accuracy accuracy = assess(matrix, std::vector<double>{22'353, 1'122'543, 610'228});
    check_digits(accuracy.classes[0].area.value, "45112.40");
    check_digits(*accuracy.classes[0].area.se, "10751.40");
    check_digits(accuracy.overall.value, "0.944417");
    check_digits(*accuracy.overall.half_width(), "0.0218818");
    const std::string_view users[] = {"0.97", "0.93", "0.97"};
    const std::string_view producers[] = {"0.480631", "0.994189", "0.896926"};
    for (std::size_t k = 0; k < 3; ++k) {
        CAPTURE(k);
        check_digits(accuracy.classes[k].users->value, users[k]);
        check_digits(accuracy.classes[k].producers->value, producers[k]);
    }
}

TEST_CASE("one class sampled by hand gives p (1 - p) / (n - 1)")
{
    // Nine of ten points right, on all of the ground: variance 0.9 x 0.1 / 9 = 0.01.
    const ConfusionMatrix matrix = matrix_of({9, 1, 0, 0});
    const Accuracy accuracy = assess(matrix, std::vector<double>{50, 0});
    CHECK(accuracy.overall.value == doctest::Approx(0.9).epsilon(1e-15));
    CHECK(*accuracy.overall.se == doctest::Approx(0.1).epsilon(1e-14));
    CHECK(*accuracy.classes[1].area.se == doctest::Approx(5).epsilon(1e-14));
    CHECK(accuracy.classes[1].area.value == doctest::Approx(5).epsilon(1e-14));
}
