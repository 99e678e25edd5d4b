// SPDX-License-Identifier: Apache-2.0

// Reference points: the draw, and what judged points make of mapped areas. Tolerances: a figure is
// a sum of some hundred products of magnitude 1, so 1e-12 of it is rounding.
#include "change/account.hpp"
#include "unit/change/matrices.hpp"
#include "unit/change/reference_world.hpp"

#include <doctest/doctest.h>

#include <numeric>

using namespace fuelring;
using namespace fuelring::test;
using doctest::Approx;

namespace {

constexpr double rounding_share = 1e-12;

ChangeShares whole(std::size_t k)
{
    ChangeShares shares{};
    shares[k] = 1;
    return shares;
}

/// The points of a matrix one by one, on a map of whole shares.
ReferenceSample sample_of(const ConfusionMatrix& matrix, const std::vector<double>& areas)
{
    ReferenceSample sample;
    std::copy(areas.begin(), areas.end(), sample.drawn_m2.begin());
    for (std::size_t h = 0; h < drawn_classes; ++h)
        for (std::size_t k = 0; k < drawn_classes; ++k)
            for (std::int64_t n = 0; n < matrix.at(h, k); ++n)
                sample.points.push_back({h, whole(h), whole(k)});
    return sample;
}

void check_agrees(const Estimate& a, const Estimate& b)
{
    CHECK(a.value == Approx(b.value).epsilon(rounding_share));
    REQUIRE(a.se.has_value() == b.se.has_value());
    if (a.se)
        CHECK(*a.se == Approx(*b.se).epsilon(rounding_share));
}

std::vector<bool> everywhere(const ReferenceSample& sample)
{
    return std::vector<bool>(sample.points.size(), true);
}

} // namespace

TEST_CASE("points of one class each give the published worked example")
{
    // Olofsson et al. 2014, Table 8 (matrices.hpp), which accuracy_test.cpp holds to the digits.
    const WorkedExample example;
    const ReferenceSample sample = sample_of(example.matrix, example.mapped_ha);
    const Accuracy published = assess(example.matrix, example.mapped_ha);
    for (std::size_t k = 0; k < drawn_classes; ++k) {
        CAPTURE(k);
        check_agrees(corrected_area(sample, everywhere(sample), k, example.mapped_ha[k]),
                     published.classes[k].area);
    }
    CHECK(corrected_area(sample, everywhere(sample), 0, 18'000).value ==
          Approx(21157.76).epsilon(1e-6));
    for (const ReferenceAccuracy& accuracy :
         {accuracy_of(sample), accuracy_of(example.matrix, sample.drawn_m2)}) {
        check_agrees(accuracy.overall, published.overall);
        CHECK(accuracy.points == 640);
        for (std::size_t k = 0; k < drawn_classes; ++k) {
            check_agrees(*accuracy.classes[k].users, *published.classes[k].users);
            check_agrees(*accuracy.classes[k].producers, *published.classes[k].producers);
            CHECK(accuracy.classes[2].found[k] == static_cast<double>(example.matrix.at(2, k)));
        }
    }
}

TEST_CASE("a perfect map gives itself, mixed cells or not")
{
    RandomMap numbers{3};
    ReferenceSample sample{{}, {900, 40, 3000, 2500}, "points.gpkg"};
    for (std::size_t p = 0; p < 200; ++p) {
        const double before = static_cast<double>(numbers.below(11)) / 10;
        const double after = static_cast<double>(numbers.below(11)) / 10;
        const ChangeShares shares{std::max(before - after, 0.0), std::max(after - before, 0.0),
                                  std::min(before, after), 1 - std::max(before, after)};
        sample.points.push_back({p % drawn_classes, shares, shares});
    }
    for (std::size_t k = 0; k < 3; ++k) {
        const Estimate area = corrected_area(sample, everywhere(sample), k, 321.5);
        CHECK(area.value == 321.5);
        CHECK(area.se == 0.0);
    }
}

TEST_CASE("corrections of parts add up to that of the whole")
{
    const ReferenceWorld world{5};
    const ReferenceSample sample = world.drawn(11, 400);
    std::vector<bool> part(sample.points.size());
    for (std::size_t p = 0; p < part.size(); p += 3)
        part[p] = true;
    std::vector<bool> rest = part;
    rest.flip();
    for (std::size_t k = 0; k < 3; ++k)
        CHECK(corrected_area(sample, part, k, 10).value +
                  corrected_area(sample, rest, k, 7).value ==
              Approx(corrected_area(sample, everywhere(sample), k, 17).value)
                  .epsilon(rounding_share));
}

TEST_CASE("2,000 drawn samples: 95% intervals cover the truth, near the walls too")
{
    const ReferenceWorld world{1};
    struct Covered {
        std::string_view what;
        std::size_t change_class;
        bool near_only;
        int hits = 0;
        double sum = 0;
    };
    Covered targets[] = {{"removed", 0, false},
                         {"unchanged", 2, false},
                         {"removed near", 0, true},
                         {"unchanged near", 2, true}};
    constexpr int draws = 2000;
    for (int seed = 1; seed <= draws; ++seed) {
        const ReferenceWorld::Draw draw = world.draw(static_cast<std::uint64_t>(seed), 600);
        for (Covered& t : targets) {
            const Estimate area =
                corrected_area(draw.sample, t.near_only ? draw.near : everywhere(draw.sample),
                               t.change_class, world.mapped_m2(t.change_class, t.near_only));
            const double off = area.value - world.true_m2(t.change_class, t.near_only);
            t.hits += std::abs(off) <= *area.half_width() ? 1 : 0;
            t.sum += off;
        }
    }
    for (const Covered& t : targets) {
        CAPTURE(t.what);
        const double covered = static_cast<double>(t.hits) / draws;
        MESSAGE(t.what << ": covered " << 100 * covered << " %, bias "
                       << 100 * t.sum / draws / world.true_m2(t.change_class, t.near_only) << " %");
        CHECK(covered >= 0.93);
        CHECK(covered <= 0.97);
        // Unbiased: the mean of the draws is off by some standard errors of it at most.
        CHECK(std::abs(t.sum / draws) <= 0.01 * world.true_m2(t.change_class, t.near_only));
    }
    // One matrix for all, as it used to be done, misses the truth near the walls.
    const double as_far =
        world.mapped_m2(0, true) * world.true_m2(0, false) / world.mapped_m2(0, false);
    CHECK(std::abs(as_far - world.true_m2(0, true)) > 0.1 * world.true_m2(0, true));
}

TEST_CASE("spots on a perfect map of mixed cells leave its hectares")
{
    // Strata that mixed shares into classes "corrected" such a map.
    const ReferenceWorld world{2, 0, 0};
    double sum = 0;
    constexpr int draws = 500;
    int hits = 0;
    for (std::uint64_t seed = 1; seed <= draws; ++seed) {
        const ReferenceSample sample = world.drawn(seed, 400);
        const Estimate area =
            corrected_area(sample, everywhere(sample), 2, world.mapped_m2(2, false));
        sum += area.value;
        hits += std::abs(area.value - world.true_m2(2, false)) <= *area.half_width() ? 1 : 0;
    }
    CHECK(world.true_m2(2, false) == Approx(world.mapped_m2(2, false)).epsilon(rounding_share));
    CHECK(sum / draws == Approx(world.mapped_m2(2, false)).epsilon(0.005));
    CHECK(hits >= 0.92 * draws);
}

TEST_CASE("a smaller draw is the beginning of a larger one, whatever order cells come in")
{
    std::vector<DrawnCell> cells;
    for (std::int64_t row = 0; row < 60; ++row)
        for (std::int64_t col = 0; col < 60; ++col)
            cells.push_back({number_of_cell(9, row, col), row, col});
    LeastNumbers small{50};
    LeastNumbers large{200};
    small.offer(cells);
    std::reverse(cells.begin(), cells.end());
    const std::span<const DrawnCell> all{cells};
    for (std::size_t from = 0; from < cells.size(); from += 100)
        large.offer(all.subspan(from, 100));
    REQUIRE(small.cells().size() == 50);
    REQUIRE(large.cells().size() == 200);
    CHECK(std::equal(small.cells().begin(), small.cells().end(), large.cells().begin()));
    // Another seed draws other cells; numbers and spots are even: means of 3,600 of them.
    CHECK(number_of_cell(9, 3, 4) != number_of_cell(10, 3, 4));
    CHECK(number_of_cell(9, 3, 4) != number_of_cell(9, 4, 3));
    Point mean;
    for (const DrawnCell& c : cells)
        mean = mean + (1.0 / 3600) * spot_in_cell(c.number);
    CHECK(mean.x == Approx(0.5).epsilon(0.04));
    CHECK(mean.y == Approx(0.5).epsilon(0.04));
}

TEST_CASE("points go by the ground, at least 50 to a class, or equal parts of few")
{
    using Points = std::array<std::int64_t, drawn_classes>;
    CHECK((points_by_class({100, 0, 8900, 1000}, 400) == Points{50, 0, 300, 50}));
    CHECK((points_by_class({100, 100, 100, 700}, 60) == Points{15, 15, 15, 15}));
    CHECK((points_by_class({0, 0, 5, 0}, 8) == Points{0, 0, 8, 0}));
    CHECK_THROWS_AS(points_by_class({0, 0, 0, 0}, 8), Error);
}

TEST_CASE("rows of few points stay empty, and a class without points is refused")
{
    ReferenceSample sample = sample_of(
        matrix_of({40, 0, 0, 0, 0, 40, 0, 0, 0, 0, 40, 0, 0, 0, 0, 40}), {10, 10, 10, 10});
    ChangeRow row;
    row.area.removed_m2 = 10;
    row.area.compared_m2 = 40;
    std::vector<bool> inside(sample.points.size());
    std::fill_n(inside.begin(), least_points_inside - 1, true);
    adjust_row(row, sample, inside);
    CHECK(row.reference_points == least_points_inside - 1);
    CHECK_FALSE(row.adjusted);
    inside[least_points_inside] = true;
    adjust_row(row, sample, inside);
    REQUIRE(row.adjusted);
    CHECK(row.adjusted->removed_m2.value == 10);

    sample.points.resize(80);
    CHECK_THROWS_WITH_AS(
        accuracy_of(sample),
        "class unchanged covers 25% of the mapped land and has no reference points", Error);
    sample.points.clear();
    CHECK_THROWS_WITH_AS(accuracy_of(sample), "no reference point is judged", Error);
}
