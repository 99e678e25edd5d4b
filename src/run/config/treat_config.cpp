// SPDX-License-Identifier: Apache-2.0

// [treat]: a budget of money or of hectares, what units may be, what treating costs and where
// nobody may go.
#include "run/config/treat_config.hpp"

#include "io/community/owner_class.hpp"
#include "run/config/config_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <set>
#include <tuple>

namespace fuelring {

namespace {

constexpr double largest_gap_m = 100;
constexpr std::string_view every_other = "*";
constexpr int first_year = 1900;
constexpr int last_year = 2200;

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

/// A class of owners as zones have it; empty for every other one.
std::string read_owner(const ConfigTable& row)
{
    const std::string owner = row.text("owner");
    if (owner.empty() || owner == every_other)
        return {};
    return owner == "no_parcel" ? owner : owner_class(owner);
}

TreatmentCost read_cost(const ConfigTable& row)
{
    TreatmentCost cost;
    cost.owner = read_owner(row);
    cost.method = row.choice("method", {"hand", "machine", "cable"});
    const std::optional<double> per_ha = above_0(row, "per_ha");
    if (!per_ha)
        throw row.wrong("per_ha", "the key is missing", "give the cost of a hectare");
    cost.per_ha = *per_ha;
    cost.max_slope_percent = above_0(row, "max_slope_percent");
    cost.max_road_m = above_0(row, "max_road_m");
    return cost;
}

/// What says where a method can be used needs a layer that says how the ground is.
void require_layers_of(const TreatmentCost& cost, const ConfigTable& row, const ConfigTable& root)
{
    const auto inputs = root.table("inputs");
    const auto require = [&](bool asked, const char* key, const char* layer) {
        if (asked && !(inputs && inputs->has(layer)))
            throw row.wrong(key, fmt::format("there is no table [inputs.{}]", layer),
                            "add it, or leave this limit out");
    };
    require(cost.max_slope_percent.has_value(), "max_slope_percent", "elevation");
    require(cost.max_road_m.has_value(), "max_road_m", "roads");
}

void read_costs(const ConfigTable& root, const ConfigTable& treat, TreatmentSettings& settings)
{
    std::set<std::string> owners;
    std::set<std::tuple<std::string, std::optional<double>, std::optional<double>>> ground;
    const auto rows = treat.tables("costs");
    for (const ConfigTable& row : rows.value_or(std::vector<ConfigTable>{})) {
        const TreatmentCost& cost = settings.costs.emplace_back(read_cost(row));
        require_layers_of(cost, row, root);
        owners.insert(cost.owner);
        if (!ground.insert({cost.owner, cost.max_slope_percent, cost.max_road_m}).second)
            throw row.wrong("owner", fmt::format("'{}' has a cost already", cost.owner),
                            "keep one entry for each class of owners, or say with "
                            "max_slope_percent and max_road_m where each method can be used");
    }
    if (settings.has_costs() && !owners.contains(""))
        throw treat.wrong("costs", "no entry is for the other owners",
                          "add { per_ha = ... } without owner: it is for every class that has no "
                          "entry of its own, and for land outside parcels");
}

double read_residual(const ConfigTable& table)
{
    const double share = table.number_from_0("residual_share", 0);
    if (share >= 1)
        throw table.wrong("residual_share", fmt::format("{} leaves everything", share),
                          "give the share of conifers that stays, below 1; 0 clears");
    return share;
}

void read_thinning(const ConfigTable& treat, TreatmentSettings& settings)
{
    std::set<std::string> owners;
    const auto rows = treat.tables("thinning");
    for (const ConfigTable& row : rows.value_or(std::vector<ConfigTable>{})) {
        row.required_text("owner");
        settings.thinning.push_back({read_owner(row), read_residual(row)});
        if (!owners.insert(settings.thinning.back().owner).second)
            throw row.wrong("owner",
                            fmt::format("'{}' has a share already", settings.thinning.back().owner),
                            "keep one entry for each class of owners");
    }
}

/// Sorted, each once.
std::vector<std::string> read_names(const ConfigTable& table, std::string_view key)
{
    if (table.is_empty_list(key))
        return {};
    const auto texts = table.texts(key).value_or(std::vector<std::string>{});
    const std::set<std::string> names{texts.begin(), texts.end()};
    return {names.begin(), names.end()};
}

void read_declined(const ConfigTable& root, const ConfigTable& treat, TreatmentSettings& settings)
{
    const auto table = treat.table("declined");
    if (!table)
        return;
    DeclinedLand& declined = settings.declined;
    std::set<std::string> owners;
    for (const std::string& owner : read_names(*table, "owners"))
        owners.insert(owner_class(owner));
    declined.owners.assign(owners.begin(), owners.end());
    declined.parcels = read_names(*table, "parcels");
    declined.id = table->text("id");
    if (!declined.parcels.empty() && declined.id.empty())
        throw table->wrong("parcels", "no column has the ids of parcels",
                           "name the column of inputs.parcels: id = \"parcel_no\"");
    const auto inputs = root.table("inputs");
    if (declined.any() && !(inputs && inputs->has("parcels")))
        throw treat.wrong("declined", "there is no layer of parcels",
                          "add [inputs.parcels], or draw the land and name it in treat.keep_out");
}

TreatmentLimit read_limit(const ConfigTable& row, bool has_costs)
{
    TreatmentLimit limit;
    limit.neighbourhood = row.text("neighbourhood");
    limit.owner = read_owner(row);
    limit.of = row.choice("of", {"points", "hectares", "money"});
    if (row.has("at_least"))
        limit.at_least = row.number_from_0("at_least", 0);
    if (row.has("at_most"))
        limit.at_most = row.number_from_0("at_most", 0);
    if (!limit.at_least && !limit.at_most)
        throw row.wrong("at_least", "neither a floor nor a cap is given",
                        "write at_least = 20, or at_most = 20");
    if (limit.at_least && limit.at_most && *limit.at_least > *limit.at_most)
        throw row.wrong("at_least",
                        fmt::format("{} is above at_most = {}", *limit.at_least, *limit.at_most),
                        "lower the floor or raise the cap");
    if (limit.neighbourhood.empty() && limit.owner.empty())
        throw row.wrong("at_least", "the limit is for no land",
                        "name a neighbourhood, an owner or both");
    if (limit.of == "money" && !has_costs)
        throw row.wrong("of", "a limit in money needs costs",
                        "say in treat.costs what a hectare of conifers costs you");
    return limit;
}

TreatmentYear read_year(const ConfigTable& row)
{
    const std::optional<std::int64_t> year = row.whole("year", first_year, last_year);
    if (!year)
        throw row.wrong("year", "the key is missing", "name the year");
    if (!row.has("budget"))
        throw row.wrong("budget", "the key is missing", "say what may be spent in this year");
    return {static_cast<int>(*year), row.number_from_0("budget", 0)};
}

void read_years(const ConfigTable& treat, TreatmentSettings& settings)
{
    settings.regrowth_per_year = treat.number_from_0("regrowth_per_year", 0);
    settings.upkeep_per_ha = treat.number_from_0("upkeep_per_ha", 0);
    if (settings.regrowth_per_year >= 1)
        throw treat.wrong("regrowth_per_year",
                          fmt::format("{} brings everything back", settings.regrowth_per_year),
                          "give the share that is back after a year, below 1");
    double sum = 0;
    for (const ConfigTable& row : treat.tables("years").value_or(std::vector<ConfigTable>{})) {
        const TreatmentYear year = read_year(row);
        if (!settings.years.empty() && year.year != settings.years.back().year + 1)
            throw row.wrong(
                "year", fmt::format("{} does not follow {}", year.year, settings.years.back().year),
                "list every year in turn, with budget = 0 where nothing is spent");
        settings.years.push_back(year);
        sum += year.budget;
    }
    if (settings.years.empty()) {
        if (settings.regrowth_per_year > 0 || settings.upkeep_per_ha > 0)
            throw treat.wrong("years", "regrowth and upkeep need years",
                              "list the years of the work with their budgets");
        return;
    }
    if (settings.hectares && settings.upkeep_per_ha > 0)
        throw treat.wrong("upkeep_per_ha", "a budget of hectares pays no upkeep",
                          "give the budgets in money, or leave the upkeep out");
    const double whole = settings.money ? *settings.money : *settings.hectares;
    if (std::abs(sum - whole) > 1e-6 * whole)
        throw treat.wrong(
            "years", fmt::format("the years have {} together, and the budget is {}", sum, whole),
            "let the budgets of the years add up to treat.budget");
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

void read_shape(const ConfigTable& root, const ConfigTable& treat, TreatmentSettings& settings)
{
    StripForm form;
    if (const auto strips = treat.table("strips")) {
        form.width_m = above_0(*strips, "width_m").value_or(form.width_m);
        form.least_length_m = above_0(*strips, "least_length_m").value_or(form.least_length_m);
    }
    const std::string shape = treat.choice("shape", {"patch", "strip", "parcel"});
    const auto inputs = root.table("inputs");
    settings.parcel_blocks = shape == "parcel";
    if (settings.parcel_blocks && !(inputs && inputs->has("parcels")))
        throw treat.wrong("shape", "there is no layer of parcels",
                          "add [inputs.parcels], or write shape = \"patch\"");
    if (shape != "strip")
        return;
    if (!settings.strips)
        throw treat.wrong("shape", "strips need lines to lie along",
                          "name a layer of lines in treat.strips, or write shape = \"patch\"");
    settings.strip_form = form;
}

} // namespace

std::vector<TreatmentCost> TreatmentSettings::costs_of(const std::string& owner) const
{
    const auto of = [&](const std::string& name) {
        std::vector<TreatmentCost> found;
        std::copy_if(costs.begin(), costs.end(), std::back_inserter(found),
                     [&](const TreatmentCost& c) { return c.owner == name; });
        std::stable_sort(
            found.begin(), found.end(),
            [](const TreatmentCost& a, const TreatmentCost& b) { return a.per_ha < b.per_ha; });
        return found;
    };
    const std::vector<TreatmentCost> own = of(owner);
    return own.empty() ? of("") : own;
}

bool TreatmentSettings::has_method_limits() const
{
    return std::any_of(costs.begin(), costs.end(),
                       [](const TreatmentCost& cost) { return cost.has_limit(); });
}

double TreatmentSettings::residual_of(const std::string& owner) const
{
    const auto named = std::find_if(thinning.begin(), thinning.end(),
                                    [&](const OwnerThinning& t) { return t.owner == owner; });
    return named == thinning.end() ? residual_share : named->residual_share;
}

bool TreatmentSettings::has_constraints() const
{
    return !thinning.empty() || keep_out_by_cover || declined.any() || required ||
           !limits.empty() || !years.empty() || has_method_limits();
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
    settings.residual_share = read_residual(*treat);
    read_thinning(*treat, settings);
    read_costs(root, *treat, settings);
    read_budget(*treat, settings);
    read_years(*treat, settings);
    for (const ConfigTable& row : treat->tables("limits").value_or(std::vector<ConfigTable>{}))
        settings.limits.push_back(read_limit(row, settings.has_costs()));
    TreatmentSettings::for_each_layer(
        settings, [&](const char* name, auto& layer) { layer = read_layer(*treat, name); });
    if (settings.keep_out)
        settings.keep_out_by_cover =
            treat->table("keep_out")->choice("by", {"touch", "cover"}) == "cover";
    read_declined(root, *treat, settings);
    read_shape(root, *treat, settings);
    return settings;
}

} // namespace fuelring
