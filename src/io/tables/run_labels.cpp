// SPDX-License-Identifier: Apache-2.0

// Labels are made here alone, from the distances of a run: whoever writes a column and whoever
// reads it again take the same text.
#include "io/tables/run_labels.hpp"

#include <algorithm>

namespace fuelring {

namespace {

/// "1.5_10m" and "own" become "own_1.5_10m".
Label joined(const Label& a, const Label& b)
{
    return {a.name + "_" + b.name, a.title + " " + b.title};
}

/// "conifer_m2_10_30m" is of "conifer_m2_{}".
bool is_of(std::string_view name, std::string_view pattern)
{
    const std::size_t gap = pattern.find("{}");
    return gap == pattern.npos ? name == pattern
                               : name.starts_with(pattern.substr(0, gap)) &&
                                     name.ends_with(pattern.substr(gap + 2));
}

} // namespace

int decimals_in(const std::vector<ColumnHead>& patterns, std::string_view name)
{
    const ColumnHead* found = nullptr;
    for (const ColumnHead& head : patterns)
        if (is_of(name, head.name) && (!found || head.name.size() > found->name.size()))
            found = &head;
    return found ? found->decimals : unit::m.decimals;
}

std::string ring_label(const RingPlan& plan, std::size_t ring)
{
    return ring_of(plan, ring).name;
}

std::string within_label(const RingPlan& plan, std::size_t ring)
{
    return distance_of(plan.outer_m[ring]).name;
}

Label ring_of(const RingPlan& plan, std::size_t ring)
{
    const double inner_m = ring == 0 ? 0 : plan.outer_m[ring - 1];
    return {fmt::format("{}_{}m", inner_m, plan.outer_m[ring]),
            fmt::format("{} to {} m", inner_m, plan.outer_m[ring])};
}

Label distance_of(double within_m)
{
    return {fmt::format("{}m", within_m), fmt::format("{} m", within_m)};
}

Label owner_label(const std::string& category)
{
    Label label{category, category};
    std::replace(label.title.begin(), label.title.end(), '_', ' ');
    return label;
}

RunLabels::RunLabels(const RingPlan& plan, double near_m) : near{distance_of(near_m)}
{
    for (std::size_t k = 0; k < plan.outer_m.size(); ++k) {
        rings.push_back(ring_of(plan, k));
        distances.push_back(distance_of(plan.outer_m[k]));
    }
}

RunLabels::RunLabels(const RunTables& tables)
    : RunLabels(tables.plan, tables.plan.outer_m[tables.near_ring])
{
    const Community& community = tables.community;
    heights = when(!community.terrain.empty());
    parcels = when(community.owners.has_value());
    multipliers = when(!community.susceptibility.empty());
    draws = when(tables.draws != nullptr);
    homes = when(community.tells_homes);
    people = when(community.tells_people);
    if (community.tells_homes)
        near_homes = near;
    if (community.tells_people)
        near_people = near;
    if (tables.draws)
        ring_draws = rings;
    if (!community.owners)
        return;
    for (std::size_t k = 0; k < rings.size(); ++k) {
        for (const std::string& share : community.owners->shares())
            ring_owners.push_back(joined(owner_label(share), rings[k]));
        for (const std::string& kind : community.owners->kinds())
            distance_owners.push_back(joined(distances[k], owner_label(kind)));
    }
}

RunLabels::RunLabels(const std::array<Label, 5>& one_of_each)
    : rings{one_of_each[0]}, distances{one_of_each[1]}, near{one_of_each[2]}, heights{when(true)},
      parcels{when(true)}, multipliers{when(true)}, draws{when(true)}, homes{when(true)},
      people{when(true)}, near_people{one_of_each[2]}, near_homes{one_of_each[2]},
      ring_owners{one_of_each[3]}, distance_owners{one_of_each[4]}, ring_draws{one_of_each[0]}
{}

RunLabels RunLabels::of_manual()
{
    return RunLabels{{Label{"L", "L"}, Label{"Dm", "D"}, Label{"Nm", "N"}, Label{"OWNER_L", ""},
                      Label{"Dm_CLASS", ""}}};
}

RunLabels RunLabels::of_patterns()
{
    const Label any{"{}", "{}"};
    return RunLabels{{any, any, any, any, any}};
}

} // namespace fuelring
