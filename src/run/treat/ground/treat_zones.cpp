// SPDX-License-Identifier: Apache-2.0
#include "run/treat/ground/treat_zones.hpp"

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
    zones_.emplace_back();
    cost_.emplace_back();
    end_of_.push_back(0);
    for (std::size_t o = 0; o <= owners_.names().size(); ++o)
        for (std::size_t n = 0; n <= neighbourhoods_.names().size(); ++n) {
            TreatZone land;
            if (o < owners_.names().size())
                land.owner = owners_.names()[o];
            else if (!owners_.names().empty())
                land.owner = "no_parcel";
            if (n < neighbourhoods_.names().size())
                land.neighbourhood = neighbourhoods_.names()[n];
            else if (!neighbourhoods_.names().empty())
                land.neighbourhood = "(outside)";
            land.residual.share = settings.residual_of(land.owner);
            add(land, settings);
        }
}

void TreatZones::add(const TreatZone& land, const TreatmentSettings& settings)
{
    std::vector<TreatmentCost> costs{TreatmentCost{}};
    if (settings.has_costs())
        costs = settings.costs_of(land.owner);
    if (zones_.size() + costs.size() >= UINT16_MAX)
        throw Error{Failure::input,
                    "owner class, neighbourhood and method make too many kinds of "
                    "land: 65,534 are the most",
                    "treat", "merge neighbourhoods for the plan"};
    first_.push_back(static_cast<plan::ZoneId>(zones_.size()));
    const auto end = static_cast<plan::ZoneId>(zones_.size() + costs.size());
    for (const TreatmentCost& cost : costs) {
        TreatZone& zone = zones_.emplace_back(land);
        if (settings.has_costs()) {
            zone.method = cost.method;
            zone.money_per_m2 = cost.per_ha / 10'000;
        }
        cost_.push_back(cost);
        end_of_.push_back(end);
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
        zone[k] = first_[planes.owner[k] * width + planes.neighbourhood[k]];
}

void TreatZones::choose_methods(const MethodGround::Block& ground,
                                std::span<plan::ZoneId> zone) const
{
    for (std::size_t k = 0; k < zone.size(); ++k) {
        const plan::ZoneId end = end_of_[zone[k]];
        while (zone[k] < end && !ground.allows(cost_[zone[k]], k))
            ++zone[k];
        if (zone[k] == end)
            zone[k] = plan::no_zone;
    }
}

} // namespace fuelring
