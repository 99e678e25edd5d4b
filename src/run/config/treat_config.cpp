// SPDX-License-Identifier: Apache-2.0

// [treat]: a budget of money or of hectares, what units may be, what treating costs and where
// nobody may go.
#include "run/config/treat_config.hpp"

#include "io/community/owner_class.hpp"
#include "run/config/config_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

namespace fuelring {

namespace {

constexpr double largest_gap_m = 100;
constexpr std::string_view every_other = "*";

/// A number that has to be above 0, where it is there.
std::optional<double> above_0(const ConfigTable& table, std::string_view key)
{
    const std::optional<double> value = table.number(key);
    if (value && *value <= 0)
        throw table.wrong(key, fmt::format("{} where a number above 0 is expected", *value));
    return value;
}

void read_budget(const ConfigTable& treat, TreatmentSettings& settings)
{
    const ConfigTable budget = treat.required_table("budget");
    settings.money = above_0(budget, "money");
    settings.hectares = above_0(budget, "hectares");
    if (settings.money.has_value() == settings.hectares.has_value())
        throw treat.wrong("budget", "a budget is either money or hectares",
                          "write budget = { money = 50000 } or budget = { hectares = 3 }");
    if (settings.hectares && settings.fixed_cost_per_unit > 0)
        throw treat.wrong("fixed_cost_per_unit", "a budget of hectares has no fixed costs",
                          "give the budget in money, or leave the fixed cost out");
    if (settings.money && !settings.has_costs())
        throw treat.wrong("budget", "a budget of money needs costs",
                          "say in treat.costs what a hectare of conifers costs you: costs = "
                          "[{ per_ha = ... }]; or give the budget in hectares");
}

TreatmentCost read_cost(const ConfigTable& row)
{
    TreatmentCost cost;
    if (const std::string owner = row.text("owner"); !owner.empty() && owner != every_other)
        cost.owner = owner == "no_parcel" ? owner : owner_class(owner);
    cost.method = row.choice("method", {"hand", "machine"});
    const std::optional<double> per_ha = above_0(row, "per_ha");
    if (!per_ha)
        throw row.wrong("per_ha", "the key is missing", "give the cost of a hectare");
    cost.per_ha = *per_ha;
    return cost;
}

void read_costs(const ConfigTable& treat, TreatmentSettings& settings)
{
    std::set<std::string> owners;
    const auto rows = treat.tables("costs");
    for (const ConfigTable& row : rows.value_or(std::vector<ConfigTable>{})) {
        settings.costs.push_back(read_cost(row));
        if (!owners.insert(settings.costs.back().owner).second)
            throw row.wrong("owner",
                            fmt::format("'{}' has a cost already", settings.costs.back().owner),
                            "keep one entry for each class of owners");
    }
    if (settings.has_costs() && !owners.contains(""))
        throw treat.wrong("costs", "no entry is for the other owners",
                          "add { per_ha = ... } without owner: it is for every class that has no "
                          "entry of its own, and for land outside parcels");
}

std::optional<LayerSource> read_layer(const ConfigTable& treat, std::string_view key)
{
    const auto table = treat.table(key);
    if (!table)
        return std::nullopt;
    return LayerSource{.path = table->required_path("path"),
                       .layer = table->text("layer"),
                       .where = table->text("where"),
                       .crs = table->text("crs")};
}

} // namespace

const TreatmentCost& TreatmentSettings::cost_of(const std::string& owner) const
{
    const auto named = std::find_if(costs.begin(), costs.end(),
                                    [&](const TreatmentCost& c) { return c.owner == owner; });
    if (named != costs.end())
        return *named;
    return *std::find_if(costs.begin(), costs.end(),
                         [](const TreatmentCost& c) { return c.owner.empty(); });
}

std::optional<TreatmentSettings> read_treatment(const ConfigTable& root)
{
    const auto treat = root.table("treat");
    if (!treat)
        return std::nullopt;
    TreatmentSettings settings;
    settings.smallest_m2 = treat->number_from_0("smallest_m2", settings.smallest_m2);
    settings.gap_m = treat->number_from_0("gap_m", settings.gap_m);
    if (settings.gap_m > largest_gap_m)
        throw treat->wrong("gap_m", fmt::format("a gap of {} m is out of range", settings.gap_m),
                           fmt::format("gaps are at most {} m", largest_gap_m));
    settings.max_unit_m2 = above_0(*treat, "max_unit_m2").value_or(settings.max_unit_m2);
    if (settings.max_unit_m2 < 4 * settings.smallest_m2)
        throw treat->wrong(
            "max_unit_m2",
            fmt::format("{} is less than four times smallest_m2", settings.max_unit_m2),
            "give the largest unit more room, or the smallest less");
    settings.fixed_cost_per_unit = treat->number_from_0("fixed_cost_per_unit", 0);
    settings.residual_share = treat->number_from_0("residual_share", 0);
    if (settings.residual_share >= 1)
        throw treat->wrong("residual_share",
                           fmt::format("{} leaves everything", settings.residual_share),
                           "give the share of conifers that stays, below 1; 0 clears");
    read_costs(*treat, settings);
    read_budget(*treat, settings);
    settings.keep_out = read_layer(*treat, "keep_out");
    settings.barriers = read_layer(*treat, "barriers");
    return settings;
}

} // namespace fuelring
