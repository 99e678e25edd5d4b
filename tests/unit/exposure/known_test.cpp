// SPDX-License-Identifier: Apache-2.0

// Which structures counts are of, and which neighbourhoods have a rank.
#include "exposure/neighbourhoods.hpp"
#include "support/fuel_fixtures.hpp"

#include <doctest/doctest.h>

#include <deque>
#include <string>

using namespace fuelring;
using namespace fuelring::test;

namespace {

const RingPlan two_rings{{10, 30}, {1, 1}};
constexpr std::size_t within_10m = 0;

/// A structure of whose ground within 10 m `mapped` per cent are mapped, and of that beyond
/// `beyond` per cent; all of what is mapped there is conifer where `percent` is above 0.
struct Seen {
    double mapped = 100;
    double beyond = 100;
    double percent = 0;
    std::optional<double> nearest_m{};
};

class Village {
public:
    void add(const Seen& seen, std::optional<std::size_t> neighbourhood = {})
    {
        MeasuredStructure& m = measures_.emplace_back();
        const auto ring = [&](double mapped) {
            return RingArea{100, mapped, mapped * seen.percent / 100, 0, 100 - mapped};
        };
        m.rings = {ring(seen.mapped), ring(seen.beyond)};
        m.nearest_conifer_m = seen.nearest_m;
        Structure& s = community.structures.emplace_back();
        s.id = std::to_string(community.structures.size());
        s.neighbourhood = neighbourhood;
        results.emplace_back().measure = &m;
    }
    std::vector<NeighbourhoodRow> rows()
    {
        rank_structures(community, square_grid(1, 10, 10), two_rings, RankBy::exposure, results);
        return neighbourhood_rows(community, results, AddedConifers{community, two_rings},
                                  two_rings, within_10m);
    }

    Community community;
    std::vector<StructureResult> results;

private:
    std::deque<MeasuredStructure> measures_;
};

ConifersNear near_of(const Seen& seen)
{
    Village village;
    village.add(seen);
    village.rows();
    return conifers_near(village.results.front(), two_rings, within_10m);
}

} // namespace

TEST_CASE("ground is said to be clear where at least half of it is mapped")
{
    CHECK(near_of({.mapped = 100}) == ConifersNear::none);
    CHECK(near_of({.mapped = 50}) == ConifersNear::none);
    CHECK(near_of({.mapped = 49.9}) == ConifersNear::unknown);
    CHECK(near_of({.mapped = 0}) == ConifersNear::unknown); // measured by the ring beyond
    CHECK(near_of({.mapped = 0, .beyond = 0}) == ConifersNear::unknown);
}

TEST_CASE("a conifer on the map is known however little else is mapped")
{
    CHECK(near_of({.mapped = 1, .nearest_m = 10.0}) == ConifersNear::some);
    CHECK(near_of({.mapped = 100, .nearest_m = 10.1}) == ConifersNear::none);
    CHECK(near_of({.mapped = 1, .nearest_m = 10.1}) == ConifersNear::unknown);
}

TEST_CASE("a row counts what is measured, what is known close by, and what stands there")
{
    Village village;
    village.add({.percent = 40, .nearest_m = 3.0});
    village.add({});
    village.add({.mapped = 10, .percent = 80}); // an exposure, but unknown within 10 m
    village.add({.mapped = 0, .beyond = 0});
    const NeighbourhoodRow all = village.rows().back();
    CHECK(all.structures == 4);
    CHECK(all.structures_measured == 3);
    CHECK(all.structures_known_near == 2);
    CHECK(all.structures_near == 1);
    CHECK(all.mean_exposure.value() == doctest::Approx((40 + 0 + 80) / 3.0));
    CHECK(all.sum_exposure.value() == doctest::Approx(120));
}

TEST_CASE("a neighbourhood of which less than half is measured has no rank and stands behind")
{
    Village village;
    village.community.neighbourhoods = {"Few", "Half", "All", "None"};
    const auto add = [&](std::size_t n, int measured, int unmapped, double percent) {
        for (int k = 0; k < measured; ++k)
            village.add({.percent = percent}, n);
        for (int k = 0; k < unmapped; ++k)
            village.add({.mapped = 0, .beyond = 0}, n);
    };
    add(0, 2, 3, 90); // the highest mean, of two in five
    add(1, 2, 2, 20);
    add(2, 1, 0, 10);
    add(3, 0, 2, 0);
    const std::vector<NeighbourhoodRow> rows = village.rows();
    REQUIRE(rows.size() == 6);
    CHECK(rows[0].name == "Half");
    CHECK(rows[0].rank == 1);
    CHECK(rows[1].name == "All");
    CHECK(rows[1].rank == 2);
    CHECK(rows[2].name == "Few");
    CHECK_FALSE(rows[2].rank.has_value());
    CHECK(rows[2].mean_exposure.value() == doctest::Approx(90)); // of those measured; said apart
    CHECK(rows[3].name == "None");
    CHECK_FALSE(rows[3].rank.has_value());
}
