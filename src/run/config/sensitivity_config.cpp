// SPDX-License-Identifier: Apache-2.0
#include "run/config/sensitivity_config.hpp"

#include "run/config/config_parts.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace fuelring {

namespace {

constexpr std::size_t most_trials = 100;
constexpr double largest_range_m = 10'000;
constexpr std::int64_t most_first_ranks = 1'000'000'000;

SensitivityTrial trial_of(const ConfigTable& t, const RingPlan& rings)
{
    SensitivityTrial trial{t.required_text("name"), rings, {}};
    trial.rings.outer_m = t.numbers("outer_m").value_or(trial.rings.outer_m);
    trial.rings.weight = t.numbers("weight").value_or(trial.rings.weight);
    require_ring_plan(t, trial.rings);
    if (t.has("classes"))
        trial.classes = t.required_path("classes");
    if (!t.has("weight") && !t.has("outer_m") && trial.classes.empty())
        throw t.wrong("name", fmt::format("trial '{}' changes nothing", trial.name),
                      "give it weight, outer_m or classes");
    return trial;
}

} // namespace

std::optional<SensitivityPlan> read_sensitivity(const ConfigTable& root, const RingPlan& rings)
{
    const auto t = root.table("sensitivity");
    if (!t)
        return std::nullopt;
    SensitivityPlan plan;
    const auto trials = t->tables("trials").value_or(std::vector<ConfigTable>{});
    if (trials.size() > most_trials)
        throw t->wrong("trials",
                       fmt::format("{} trials; {} is the most", trials.size(), most_trials));
    for (const ConfigTable& table : trials) {
        plan.trials.push_back(trial_of(table, rings));
        const std::string& name = plan.trials.back().name;
        if (std::count_if(plan.trials.begin(), plan.trials.end(),
                          [&](const SensitivityTrial& other) { return other.name == name; }) > 1)
            throw table.wrong("name", fmt::format("two trials are named '{}'", name));
    }
    if (t->has("confusion"))
        plan.confusion = t->required_path("confusion");
    plan.range_m = t->number("range_m").value_or(plan.range_m);
    if (plan.range_m <= 0 || plan.range_m > largest_range_m)
        throw t->wrong("range_m", fmt::format("a range of {} m is out of range", plan.range_m),
                       fmt::format("ranges are above 0 and at most {} m", largest_range_m));
    plan.draws = t->whole("draws", 2, 1000, plan.draws);
    plan.resamples = t->whole("resamples", 0, 10'000, plan.resamples);
    plan.seed = static_cast<std::uint64_t>(t->whole("seed", 0, 1'000'000'000, 1));
    plan.first = t->whole("first", 1, most_first_ranks);
    plan.first_neighbourhoods = t->whole("first_neighbourhoods", 1, most_first_ranks);
    return plan;
}

} // namespace fuelring
