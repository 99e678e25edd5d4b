// SPDX-License-Identifier: Apache-2.0
#include "io/tables/address_table.hpp"
#include "io/tables/neighbourhood_table.hpp"
#include "io/tables/treatment_out.hpp"

#include <doctest/doctest.h>

#include <set>
#include <string_view>

using namespace fuelring;

namespace {

/// Of a run with every input, rings to 1.5 and 10 m.
RunLabels every_label()
{
    RunLabels labels{RingPlan{{1.5, 10}, {1, 1}}, 10};
    labels.heights = labels.parcels = labels.multipliers = labels.draws = when(true);
    labels.homes = labels.people = when(true);
    labels.near_homes = labels.near_people = labels.near;
    labels.ring_draws = labels.rings;
    labels.ring_owners = {{"own_0_1.5m", "own 0 to 1.5 m"},
                          {"crown_land_0_1.5m", "crown land 0 to 1.5 m"}};
    labels.distance_owners = {{"10m_no_parcel", "10 m no parcel"}};
    return labels;
}

const ColumnHead& head(const std::vector<ColumnHead>& heads, std::string_view name)
{
    for (const ColumnHead& h : heads)
        if (h.name == name)
            return h;
    FAIL("no column ", name);
    return heads.front();
}

} // namespace

TEST_CASE("a heading says a column's distances and unit in words")
{
    const std::vector<ColumnHead> homes = heads_of(address_columns(every_label()));
    const std::vector<ColumnHead> areas = heads_of(neighbourhood_columns(every_label()));
    CHECK(head(homes, "conifer_m2_1.5_10m").heading() == "Conifer 1.5 to 10 m (m²)");
    CHECK(head(homes, "conifer_frac_within_10m").heading() == "Conifer within 10 m (share 0 to 1)");
    CHECK(head(homes, "conifer_m2_crown_land_0_1.5m").heading() ==
          "Conifer crown land 0 to 1.5 m (m²)");
    CHECK(head(homes, "exposure").heading() == "Exposure (0 to 100)");
    CHECK(head(homes, "flags").heading() == "Flags");
    CHECK(head(areas, "conifer_ha_within_10m_no_parcel").heading() ==
          "Conifer within 10 m no parcel (ha)");
}

TEST_CASE("no two columns of a table share a name or a heading, and each has its words")
{
    for (const auto& heads : {heads_of(address_columns(every_label())),
                              heads_of(neighbourhood_columns(every_label())), unit_heads()}) {
        std::set<std::string> names, headings;
        for (const ColumnHead& h : heads) {
            CAPTURE(h.name);
            CHECK(!h.title.empty());
            CHECK(names.insert(h.name).second);
            CHECK(headings.insert(h.heading()).second);
        }
        CHECK(!heads.front().help.empty()); // later ones may share that of the column before
    }
}

TEST_CASE("the public table has no sums and no percentiles")
{
    RunLabels labels{RingPlan{{1.5, 10}, {1, 1}}, 10};
    labels.office.clear();
    for (const ColumnHead& h : heads_of(neighbourhood_columns(labels))) {
        CAPTURE(h.name);
        CHECK(h.name.find("sum_") == std::string::npos);
        CHECK(h.name.find("p90") == std::string::npos);
    }
}

TEST_CASE("a column of a run is known by its name, whatever the run's rings and owners")
{
    const std::vector<ColumnHead> patterns = heads_of(address_columns(RunLabels::of_patterns()));
    struct Case {
        std::string_view why, name;
        int decimals;
    };
    const Case cases[] = {{"a name as it stands", "lon", 8},
                          {"a ring", "conifer_frac_3_12.5m", 6},
                          {"a ring and an owner", "conifer_m2_crown_land_0_1.5m", 3},
                          {"percentiles are not of the ring p05", "conifer_frac_p05_0_1.5m", 6},
                          {"a factor", "susceptibility", 4},
                          {"of a run of another version", "snow_m", 3}};
    for (const Case& c : cases) {
        CAPTURE(c.why);
        CHECK(decimals_in(patterns, c.name) == c.decimals);
    }
}
