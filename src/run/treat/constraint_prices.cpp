// SPDX-License-Identifier: Apache-2.0
#include "run/treat/constraint_prices.hpp"

#include "base/grouped.hpp"
#include "run/treat/planner.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>

namespace fuelring {

namespace {

/// 0 where no plan is found: others of the constraints may ask for more where this one is gone.
double points_of(const StageContext& context, const TreatmentSettings& settings,
                 const Inputs& inputs, const std::filesystem::path& rasters)
{
    try {
        return Planner{context, settings, inputs, rasters}.points();
    } catch (const Error& error) {
        if (error.kind() != Failure::usage)
            throw;
        return 0;
    }
}

/// Every digit that was given, never as a power of ten.
std::string digits_of(double value)
{
    const std::string digits = fmt::format("{}", value);
    return with_commas(digits, std::min(digits.find('.'), digits.size()));
}

} // namespace

std::vector<RelaxedSettings> relaxed(const TreatmentSettings& settings)
{
    std::vector<RelaxedSettings> all;
    if (!settings.has_constraints())
        return all;
    const auto without = [&](const char* constraint, const std::string& name, auto&& take_out) {
        all.push_back({constraint, name, settings});
        take_out(all.back().settings);
    };
    for (const std::string& owner : settings.declined.owners)
        without("treat.declined.owners", owner,
                [&](TreatmentSettings& s) { std::erase(s.declined.owners, owner); });
    if (!settings.declined.parcels.empty())
        without("treat.declined.parcels", "",
                [](TreatmentSettings& s) { s.declined.parcels.clear(); });
    if (settings.keep_out)
        without("treat.keep_out", "", [](TreatmentSettings& s) {
            s.keep_out.reset();
            s.keep_out_by_cover = false;
        });
    if (settings.barriers)
        without("treat.barriers", "", [](TreatmentSettings& s) { s.barriers.reset(); });
    if (settings.required)
        without("treat.required", "", [](TreatmentSettings& s) { s.required.reset(); });
    if (settings.has_method_limits())
        without("treat.costs", "slope and road", [](TreatmentSettings& s) {
            for (TreatmentCost& cost : s.costs)
                cost.max_slope_percent = cost.max_road_m = std::nullopt;
        });
    for (const OwnerThinning& thinning : settings.thinning)
        without("treat.thinning", thinning.owner, [&](TreatmentSettings& s) {
            std::erase_if(s.thinning,
                          [&](const OwnerThinning& t) { return t.owner == thinning.owner; });
        });
    for (std::size_t k = 0; k < settings.limits.size(); ++k)
        without("treat.limits", name_of(settings.limits[k]), [k](TreatmentSettings& s) {
            s.limits.erase(s.limits.begin() + static_cast<std::ptrdiff_t>(k));
        });
    if (!settings.years.empty())
        without("treat.years", "", [](TreatmentSettings& s) { s.years.clear(); });
    return all;
}

std::string name_of(const TreatmentLimit& limit)
{
    const std::string unit = limit.of == "hectares" ? " ha" : limit.of == "points" ? " points" : "";
    std::string name;
    if (limit.at_least)
        name = fmt::format("floor of {}{}", digits_of(*limit.at_least), unit);
    if (limit.at_most)
        name +=
            fmt::format("{}cap of {}{}", name.empty() ? "" : ", ", digits_of(*limit.at_most), unit);
    name += limit.neighbourhood.empty() ? "" : " for " + limit.neighbourhood;
    return name + (limit.owner.empty() ? "" : " on land of " + limit.owner);
}

std::vector<ConstraintRow> constraint_prices(const StageContext& context, const Inputs& inputs,
                                             const std::filesystem::path& rasters, double points,
                                             Log& log)
{
    std::vector<ConstraintRow> prices;
    const std::vector<RelaxedSettings> all = relaxed(*context.config.treatment);
    if (!all.empty())
        log.info("planning once more without each constraint");
    for (const RelaxedSettings& without : all) {
        const double found =
            std::max(points_of(context, without.settings, inputs, rasters), points);
        prices.push_back({without.constraint, without.name, found, found - points});
    }
    return prices;
}

} // namespace fuelring
