// SPDX-License-Identifier: Apache-2.0

// How ground is measured and results are judged: [rings], [terrain], [uncertainty], [gate].
#include "run/config/config_parts.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace fuelring {

namespace {

constexpr double widest_ring_m = 10'000; ///< beyond it a distance is no longer a metre figure
constexpr std::size_t most_rings = 50;   ///< each has columns of its own in every table
/// Weights that sum to less are as good as none, and lose digits.
constexpr double least_sum_of_weights = 1e-6;

constexpr double largest_shift_m = 100; ///< beyond it layers do not belong together
constexpr std::int64_t most_first = 1'000'000'000;

void require_rising(const ConfigTable& rings, const std::vector<double>& outer_m)
{
    if (outer_m.size() > most_rings)
        throw rings.wrong("outer_m",
                          fmt::format("{} rings; {} is the most", outer_m.size(), most_rings),
                          "leave distances out: every ring has columns of its own in the tables");
    for (std::size_t k = 0; k < outer_m.size(); ++k) {
        if (outer_m[k] <= 0 || outer_m[k] > widest_ring_m)
            throw rings.wrong("outer_m",
                              fmt::format("a ring distance of {} m is out of range", outer_m[k]),
                              fmt::format("distances are above 0 and at most {} m", widest_ring_m));
        if (k > 0 && outer_m[k] <= outer_m[k - 1])
            throw rings.wrong("outer_m",
                              fmt::format("{} does not rise above {}", outer_m[k], outer_m[k - 1]),
                              "list the distances from near to far, each once");
    }
}

void require_weights(const ConfigTable& rings, const RingPlan& plan)
{
    if (plan.weight.size() != plan.outer_m.size())
        throw rings.wrong(
            "weight",
            fmt::format("{} weights for {} distances", plan.weight.size(), plan.outer_m.size()),
            "give one weight for each of rings.outer_m");
    double sum = 0;
    for (const double w : plan.weight) {
        if (w < 0)
            throw rings.wrong("weight", fmt::format("{} is negative", w),
                              "weights are 0 or more; they are scaled to sum 1");
        sum += w;
    }
    if (!(sum >= least_sum_of_weights))
        throw rings.wrong(
            "weight", "all weights are 0, or next to nothing",
            fmt::format("give the rings weights that sum to {} or more", least_sum_of_weights));
}

NearDistance read_near(const ConfigTable& rings, const std::vector<double>& outer_m)
{
    const double near_m =
        rings.number("near_m").value_or(outer_m[std::min<std::size_t>(1, outer_m.size() - 1)]);
    const auto found = std::find(outer_m.begin(), outer_m.end(), near_m);
    if (found == outer_m.end())
        throw rings.wrong("near_m", fmt::format("{} is none of rings.outer_m", near_m),
                          fmt::format("use one of {}", fmt::join(outer_m, ", ")));
    return {near_m, static_cast<std::size_t>(found - outer_m.begin())};
}

double factor(const ConfigTable& row, std::string_view key)
{
    const double value = row.number(key).value_or(1);
    if (value < 1 || value > largest_stretch)
        throw row.wrong(
            key, fmt::format("a ring factor of {} is out of range", value),
            fmt::format("factors are 1 to {}: rings never shrink on a slope", largest_stretch));
    return value;
}

StretchRow stretch_row(const ConfigTable& row)
{
    constexpr double upright_deg = 90;
    const std::optional<double> slope_deg = row.number("slope_deg");
    if (!slope_deg)
        throw row.wrong("slope_deg", "the key is missing: the slope of the row, in degrees");
    if (*slope_deg < 0 || *slope_deg >= upright_deg)
        throw row.wrong("slope_deg",
                        fmt::format("a slope of {} degrees is out of range", *slope_deg),
                        "slopes are 0 or more and below 90");
    return {*slope_deg, factor(row, "down"), factor(row, "across")};
}

} // namespace

void require_ring_plan(const ConfigTable& table, const RingPlan& plan)
{
    require_rising(table, plan.outer_m);
    require_weights(table, plan);
}

void read_rings(const ConfigTable& root, RingPlan& rings, NearDistance& near)
{
    const auto table = root.table("rings");
    if (!table)
        return;
    rings.outer_m = table->numbers("outer_m").value_or(rings.outer_m);
    rings.weight = table->numbers("weight").value_or(rings.weight);
    require_ring_plan(*table, rings);
    near = read_near(*table, rings.outer_m);
}

void read_terrain(const ConfigTable& root, bool has_elevation, StretchTable& stretch)
{
    const auto terrain = root.table("terrain");
    if (!terrain)
        return;
    if (!has_elevation)
        throw root.wrong("terrain", "rings cannot follow slopes without heights",
                         "name a raster in [inputs.elevation], or delete this table");
    const auto rows = terrain->tables("factors");
    if (!rows)
        return;
    stretch.rows.clear();
    for (const ConfigTable& row : *rows) {
        const StretchRow next = stretch_row(row);
        if (!stretch.rows.empty() && next.slope_deg <= stretch.rows.back().slope_deg)
            throw row.wrong("slope_deg",
                            fmt::format("{} does not rise above {}", next.slope_deg,
                                        stretch.rows.back().slope_deg),
                            "list the rows from gentle to steep, each slope once");
        stretch.rows.push_back(next);
    }
}

std::optional<UncertaintyPlan> read_uncertainty(const ConfigTable& root)
{
    const auto t = root.table("uncertainty");
    if (!t)
        return std::nullopt;
    UncertaintyPlan plan;
    plan.shift_m = t->number("shift_m").value_or(plan.shift_m);
    if (plan.shift_m <= 0 || plan.shift_m >= largest_shift_m)
        throw t->wrong("shift_m", fmt::format("a shift of {} m is out of range", plan.shift_m),
                       fmt::format("shifts are above 0 and below {} m: how far footprints and "
                                   "raster may be off against each other",
                                   largest_shift_m));
    plan.draws = t->whole("draws", 2, 1000, plan.draws);
    plan.first = t->whole("first", 1, most_first);
    plan.first_neighbourhoods = t->whole("first_neighbourhoods", 1, most_first);
    return plan;
}

GateSettings read_gate(const ConfigTable& root)
{
    GateSettings gate;
    const auto t = root.table("gate");
    if (!t)
        return gate;
    gate.on = t->flag("on", gate.on);
    gate.max_change = t->number_from_0("max_change", gate.max_change);
    if (gate.max_change > 100)
        throw t->wrong("max_change",
                       fmt::format("a change of {} points is out of range", gate.max_change),
                       "percentage points are 0 to 100; on = false turns the gate off");
    gate.max_relative_change = t->number_from_0("max_relative_change", gate.max_relative_change);
    gate.max_structures_change =
        t->number_from_0("max_structures_change", gate.max_structures_change);
    gate.max_regrouped = t->number_from_0("max_regrouped", gate.max_regrouped);
    gate.min_height_correlation =
        t->number_from_0("min_height_correlation", gate.min_height_correlation);
    if (gate.min_height_correlation > 1)
        throw t->wrong(
            "min_height_correlation",
            fmt::format("a correlation of {} is out of range", gate.min_height_correlation),
            "correlations are 0 to 1; on = false turns the gate off");
    return gate;
}

} // namespace fuelring
