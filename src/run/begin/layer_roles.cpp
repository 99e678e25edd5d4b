// SPDX-License-Identifier: Apache-2.0
#include "run/begin/layer_roles.hpp"

#include "run/begin/guesses.hpp"
#include "run/begin/words.hpp"

#include <algorithm>

namespace fuelring {

namespace {

std::string name_of(const FoundLayer& layer)
{
    return layer.only_layer ? PathText::name(layer.path) + " " + layer.layer : layer.layer;
}

bool is_named(const FoundLayer& layer, LayerRole role)
{
    const std::string name = name_of(layer);
    switch (role) {
    case LayerRole::structures:
        return hints_at(name, {"build", "structure", "footprint", "roof", "house", "bldg",
                               "gebaude", "gebäude", "gebaeude", "batiment", "bâtiment", "edific",
                               "dwelling", "home"});
    case LayerRole::addresses:
        return hints_at(name, {"address", "addr", "adress", "civic", "situs", "hausnummer"});
    case LayerRole::neighbourhoods:
        return hints_at(name, {"neighbo", "district", "zone", "ward", "quart", "subdiv", "hood",
                               "ortsteil", "precinct", "area"});
    case LayerRole::parcels:
        return hints_at(name, {"parcel", "=lot", "=lots", "cadast", "property", "properties",
                               "tenure", "grundst", "flurst", "taxlot", "owner"});
    case LayerRole::area:
        return hints_at(name, {"boundary", "limit", "perimeter", "municip", "border", "extent",
                               "study", "gemeinde", "commune"});
    case LayerRole::corrections:
        return hints_at(name, {"visit", "check", "correct", "field"});
    }
    return false;
}

bool has_columns(const FoundLayer& layer, std::initializer_list<const char*> names)
{
    return std::all_of(names.begin(), names.end(),
                       [&](const char* name) { return layer.column(name); });
}

bool hints_at_columns(const FoundLayer& layer, std::initializer_list<std::string_view> hints)
{
    return std::any_of(layer.columns.begin(), layer.columns.end(),
                       [&](const FoundColumn& c) { return hints_at(c.name, hints); });
}

/// Points that a layer gets for a role; below 3 it has not got it.
int points_of_polygons(const FoundLayer& layer, LayerRole role)
{
    const double m2 = layer.median_area_m2;
    int points = is_named(layer, role) ? 4 : 0;
    for (const LayerRole other : layer_roles)
        if (other != role && is_named(layer, other) && !is_named(layer, role))
            points -= 3;
    const bool few = layer.features <= 500;
    switch (role) {
    case LayerRole::structures:
        return points + (m2 > 8 && m2 < 2500 ? 3 : -3) + (few ? 0 : 1) +
               (hints_at_columns(layer, {"build", "storey", "floor", "roof", "egid", "levels"})
                    ? 1
                    : 0);
    case LayerRole::neighbourhoods:
        if (name_column(layer).empty() || layer.features < 2 || !few)
            return 0;
        return points + (m2 > 5000 ? 2 : 0) + 1;
    case LayerRole::parcels:
        if (owner_column(layer).empty())
            return 0;
        return points + (hints_at_columns(layer, {"own", "tenure", "eigent", "propri"}) ? 2 : 0) +
               (m2 > 100 && m2 < 1e6 ? 1 : 0);
    case LayerRole::area:
        return points > 0 && layer.features <= 3 ? points : 0;
    default:
        return 0;
    }
}

int points_of(const FoundLayer& layer, LayerRole role)
{
    if (layer.features == 0)
        return 0;
    if (role == LayerRole::corrections)
        return has_columns(layer, {"kind", "date", "initials"}) ? 10 : 0;
    if (layer.shape == FoundShape::polygons)
        return points_of_polygons(layer, role);
    const bool has_places = layer.shape == FoundShape::points || coordinate_columns(layer);
    if (role != LayerRole::addresses || !has_places)
        return 0;
    const std::vector<std::string> text = address_columns_of(layer);
    if (text.empty())
        return 0;
    const FoundColumn* column = layer.column(text.front());
    return (is_named(layer, role) ? 4 : 0) + (column && column->with_letters_and_digits ? 3 : 0) +
           (text.size() > 1 ? 3 : 0) +
           (hints_at_columns(layer, {"addr", "adress", "civic"}) ? 2 : 0);
}

} // namespace

std::string_view table_of(LayerRole role)
{
    constexpr std::string_view names[] = {"inputs.structures",     "inputs.addresses",
                                          "inputs.neighbourhoods", "inputs.parcels",
                                          "community.area",        "inputs.corrections"};
    return names[static_cast<std::size_t>(role)];
}

std::map<LayerRole, const FoundLayer*> given_out(const std::vector<FoundLayer>& layers,
                                                 const FoundLayer* taken)
{
    struct Claim {
        int points;
        LayerRole role;
        const FoundLayer* layer;
    };
    std::vector<Claim> claims;
    for (const FoundLayer& layer : layers)
        for (const LayerRole role : layer_roles)
            if (const int points = &layer == taken ? 0 : points_of(layer, role); points >= 3)
                claims.push_back({points, role, &layer});
    std::stable_sort(claims.begin(), claims.end(),
                     [](const Claim& a, const Claim& b) { return a.points > b.points; });
    std::map<LayerRole, const FoundLayer*> of;
    for (const Claim& claim : claims) {
        const bool given = std::any_of(of.begin(), of.end(),
                                       [&](const auto& one) { return one.second == claim.layer; });
        if (!given)
            of.emplace(claim.role, claim.layer);
    }
    return of;
}

} // namespace fuelring
