// SPDX-License-Identifier: Apache-2.0
#include "exposure/ranking.hpp"
#include "support/fuel_fixtures.hpp"

#include <doctest/doctest.h>

#include <deque>

using namespace fuelring;
using namespace fuelring::test;

namespace {

const RingPlan ring_plan{{10, 30}, {1, 1}};

/// A structure whose exposure is `percent`; below 0: nothing mapped.
MeasuredStructure measured_structure(double percent)
{
    MeasuredStructure m;
    if (percent >= 0)
        m.rings = {{100, 100, percent, 0, 0}, {100, 100, percent, 0, 0}};
    else
        m.rings = {{100, 0, 0, 0, 100}, {100, 0, 0, 0, 100}};
    return m;
}

struct Town {
    Community community;
    std::deque<MeasuredStructure> measures;
    std::vector<StructureResult> results;

    void add(const std::string& id, double percent, std::optional<std::size_t> neighbourhood = {})
    {
        Structure s;
        s.id = id;
        s.neighbourhood = neighbourhood;
        community.structures.push_back(s);
        results.emplace_back().measure = &measures.emplace_back(measured_structure(percent));
    }
    void rank()
    {
        rank_structures(community, square_grid(1, 10, 10), ring_plan, RankBy::exposure, results);
    }
};

} // namespace

TEST_CASE("equal exposures share a rank and the next rank is skipped")
{
    Town town;
    town.add("a", 20);
    town.add("b", 50);
    town.add("c", 20.00001); // the same as a in 4 decimals
    town.add("d", 10);
    town.add("e", -1);
    town.rank();
    CHECK(town.results[1].rank == 1);
    CHECK(town.results[0].rank == 2);
    CHECK(town.results[2].rank == 2);
    CHECK(town.results[3].rank == 4);
    CHECK_FALSE(town.results[4].rank.has_value());
    CHECK(flags_text(town.results[4]) == "unmapped");
}

TEST_CASE("ranks in a neighbourhood count its own structures only")
{
    Town town;
    town.community.neighbourhoods = {"North", "South"};
    town.add("a", 20, 0);
    town.add("b", 50, 1);
    town.add("c", 30, 1);
    town.add("d", 10);
    town.rank();
    CHECK(town.results[0].rank_in_neighbourhood == 1);
    CHECK(town.results[1].rank_in_neighbourhood == 1);
    CHECK(town.results[2].rank_in_neighbourhood == 2);
    CHECK(town.results[3].rank_in_neighbourhood == 1); // among those outside all
}

TEST_CASE("rows run by rank, then id, then address; structures without exposure last")
{
    Town town;
    town.add("a", -1);
    town.add("b", 20);
    town.add("c", 20);
    town.add("d", 90);
    town.community.addresses = {{"Larch Way 9", {}, 2},
                                {"Larch Way 10", {}, 2},
                                {"Alder Row 1", {}, 1},
                                {"joins nothing", {}, std::nullopt}};
    town.rank();
    const auto rows = address_rows(town.community, town.results);
    REQUIRE(rows.size() == 5);
    CHECK(rows[0].structure == 3);
    CHECK_FALSE(rows[0].address.has_value());
    CHECK(rows[1].address == 2);
    CHECK(rows[2].address == 1); // "Larch Way 10" before "Larch Way 9", bytewise
    CHECK(rows[3].address == 0);
    CHECK(rows[4].structure == 0);
}

TEST_CASE("flags are the documented words in a fixed order")
{
    Town town;
    town.add("a", 0);
    town.community.structures[0].repaired_outline = true;
    town.measures[0].roof.conifer_m2 = 1;
    town.measures[0].rings[1].unmapped_m2 = 5;
    rank_structures(town.community, square_grid(30, 10, 10), ring_plan, RankBy::exposure,
                    town.results);
    CHECK(flags_text(town.results[0]) ==
          "partly_unmapped;no_conifer_in_reach;coarse_cells;repaired_outline;canopy_on_roof");
}
