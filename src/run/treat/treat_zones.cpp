// SPDX-License-Identifier: Apache-2.0
#include "run/treat/treat_zones.hpp"

#include "io/community/owner_class.hpp"
#include "io/vector/named_outlines.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <set>

namespace fuelring {

namespace {

Majority owners_of(const std::optional<ParcelSource>& parcels, const Inputs& inputs)
{
    const Grid& grid = inputs.raster->grid();
    if (!parcels)
        return {{}, {}, grid};
    const auto outlines = read_named_outlines(
        "inputs.parcels", *parcels, {parcels->owner, "owner"}, inputs.raster->analysis(),
        [&](const std::string& text) { return zone_owner(*parcels, text); });
    std::set<std::string> classes;
    for (const NamedOutline& outline : outlines)
        classes.insert(outline.name);
    return {outlines, {classes.begin(), classes.end()}, grid};
}

Majority neighbourhoods_of(const std::optional<NeighbourhoodSource>& layer, const Inputs& inputs)
{
    const Grid& grid = inputs.raster->grid();
    if (!layer)
        return {{}, {}, grid};
    const auto outlines = read_named_outlines("inputs.neighbourhoods", *layer,
                                              {layer->name, "name"}, inputs.raster->analysis(),
                                              [](const std::string& name) { return name; });
    return {outlines, inputs.community.neighbourhoods, grid};
}

} // namespace

std::string zone_owner(const ParcelSource& parcels, const std::string& text)
{
    const std::string owner = owner_class(text);
    const bool is_private =
        std::any_of(parcels.private_owners.begin(), parcels.private_owners.end(),
                    [&](const std::string& p) { return owner_class(p) == owner; });
    return is_private ? std::string{private_owner} : owner;
}

TreatZones::TreatZones(const InputSettings& sources, const TreatmentSettings& settings,
                       const Inputs& inputs)
    : owners_(owners_of(sources.parcels, inputs)),
      neighbourhoods_(neighbourhoods_of(sources.neighbourhoods, inputs))
{
    const std::size_t count = (owners_.names().size() + 1) * (neighbourhoods_.names().size() + 1);
    if (count >= UINT16_MAX)
        throw Error{Failure::input,
                    fmt::format("{} pairs of owner class and neighbourhood are too many", count),
                    "treat", "merge neighbourhoods for the plan"};
    zones_.emplace_back();
    for (std::size_t o = 0; o <= owners_.names().size(); ++o)
        for (std::size_t n = 0; n <= neighbourhoods_.names().size(); ++n) {
            TreatZone zone;
            if (o < owners_.names().size())
                zone.owner = owners_.names()[o];
            else if (!owners_.names().empty())
                zone.owner = "no_parcel";
            if (n < neighbourhoods_.names().size())
                zone.neighbourhood = neighbourhoods_.names()[n];
            else if (!neighbourhoods_.names().empty())
                zone.neighbourhood = "(outside)";
            if (settings.has_costs()) {
                const TreatmentCost& cost = settings.cost_of(zone.owner);
                zone.method = cost.method;
                zone.money_per_m2 = cost.per_ha / 10'000;
            }
            zone.residual.share = settings.residual_of(zone.owner);
            zones_.push_back(std::move(zone));
        }
}

void TreatZones::of_cells(const CellRect& rect, Planes& planes, std::span<plan::ZoneId> zone) const
{
    planes.owner.resize(zone.size());
    planes.neighbourhood.resize(zone.size());
    owners_.of_cells(rect, planes.majority, planes.owner);
    neighbourhoods_.of_cells(rect, planes.majority, planes.neighbourhood);
    const std::size_t width = neighbourhoods_.names().size() + 1;
    for (std::size_t k = 0; k < zone.size(); ++k)
        zone[k] = static_cast<plan::ZoneId>(1 + planes.owner[k] * width + planes.neighbourhood[k]);
}

} // namespace fuelring
