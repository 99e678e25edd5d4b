// SPDX-License-Identifier: Apache-2.0

// What a layer is for: every layer gets points for every role it can play, and roles are given out
// from the highest points down, each to one layer.
#include "run/begin/guesses.hpp"
#include "run/begin/words.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <map>

namespace fuelring {

namespace {

enum class Role { structures, addresses, neighbourhoods, parcels, area, corrections };
constexpr std::array roles{Role::structures, Role::addresses,   Role::neighbourhoods,
                           Role::parcels,    Role::corrections, Role::area};

std::string_view table_of(Role role)
{
    constexpr std::string_view names[] = {"inputs.structures",     "inputs.addresses",
                                          "inputs.neighbourhoods", "inputs.parcels",
                                          "community.area",        "inputs.corrections"};
    return names[static_cast<std::size_t>(role)];
}

std::string name_of(const FoundLayer& layer)
{
    return layer.only_layer ? PathText::name(layer.path) + " " + layer.layer : layer.layer;
}

bool is_named(const FoundLayer& layer, Role role)
{
    const std::string name = name_of(layer);
    switch (role) {
    case Role::structures:
        return hints_at(name, {"build", "structure", "footprint", "roof", "house", "bldg",
                               "gebaude", "gebäude", "gebaeude", "batiment", "bâtiment", "edific",
                               "dwelling", "home"});
    case Role::addresses:
        return hints_at(name, {"address", "addr", "adress", "civic", "situs", "hausnummer"});
    case Role::neighbourhoods:
        return hints_at(name, {"neighbo", "district", "zone", "ward", "quart", "subdiv", "hood",
                               "ortsteil", "precinct", "area"});
    case Role::parcels:
        return hints_at(name, {"parcel", "=lot", "=lots", "cadast", "property", "properties",
                               "tenure", "grundst", "flurst", "taxlot", "owner"});
    case Role::area:
        return hints_at(name, {"boundary", "limit", "perimeter", "municip", "border", "extent",
                               "study", "gemeinde", "commune"});
    case Role::corrections:
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
int points_of_polygons(const FoundLayer& layer, Role role)
{
    const double m2 = layer.median_area_m2;
    int points = is_named(layer, role) ? 4 : 0;
    for (const Role other : roles)
        if (other != role && is_named(layer, other) && !is_named(layer, role))
            points -= 3;
    const bool few = layer.features <= 500;
    switch (role) {
    case Role::structures:
        return points + (m2 > 8 && m2 < 2500 ? 3 : -3) + (few ? 0 : 1) +
               (hints_at_columns(layer, {"build", "storey", "floor", "roof", "egid", "levels"})
                    ? 1
                    : 0);
    case Role::neighbourhoods:
        if (name_column(layer).empty() || layer.features < 2 || !few)
            return 0;
        return points + (m2 > 5000 ? 2 : 0) + 1;
    case Role::parcels:
        if (owner_column(layer).empty())
            return 0;
        return points + (hints_at_columns(layer, {"own", "tenure", "eigent", "propri"}) ? 2 : 0) +
               (m2 > 100 && m2 < 1e6 ? 1 : 0);
    case Role::area:
        return points > 0 && layer.features <= 3 ? points : 0;
    default:
        return 0;
    }
}

int points_of(const FoundLayer& layer, Role role)
{
    if (layer.features == 0)
        return 0;
    if (role == Role::corrections)
        return has_columns(layer, {"kind", "date", "initials"}) ? 10 : 0;
    if (layer.shape == FoundShape::polygons)
        return points_of_polygons(layer, role);
    const bool has_places = layer.shape == FoundShape::points || coordinate_columns(layer);
    if (role != Role::addresses || !has_places)
        return 0;
    const std::vector<std::string> text = address_columns_of(layer);
    if (text.empty())
        return 0;
    const FoundColumn* column = layer.column(text.front());
    return (is_named(layer, role) ? 4 : 0) + (column && column->with_letters_and_digits ? 3 : 0) +
           (text.size() > 1 ? 3 : 0) +
           (hints_at_columns(layer, {"addr", "adress", "civic"}) ? 2 : 0);
}

/// Each role with the layer that has it.
std::map<Role, const FoundLayer*> given_out(const std::vector<FoundLayer>& layers)
{
    struct Claim {
        int points;
        Role role;
        const FoundLayer* layer;
    };
    std::vector<Claim> claims;
    for (const FoundLayer& layer : layers)
        for (const Role role : roles)
            if (const int points = points_of(layer, role); points >= 3)
                claims.push_back({points, role, &layer});
    std::stable_sort(claims.begin(), claims.end(),
                     [](const Claim& a, const Claim& b) { return a.points > b.points; });
    std::map<Role, const FoundLayer*> of;
    for (const Claim& claim : claims) {
        const bool taken = std::any_of(
            of.begin(), of.end(), [&](const auto& given) { return given.second == claim.layer; });
        if (!taken)
            of.emplace(claim.role, claim.layer);
    }
    return of;
}

/// Where a table of coordinates lies; nothing of a layer whose shapes tell.
Box extent_of(const FoundLayer& layer, const std::optional<std::array<std::string, 2>>& columns)
{
    if (!columns)
        return layer.extent;
    const FoundColumn& x = *layer.column((*columns)[0]);
    const FoundColumn& y = *layer.column((*columns)[1]);
    return {{x.least, y.least}, {x.most, y.most}};
}

class LayerTable {
public:
    LayerTable(const FoundLayer& layer, Role role, const FoundFolder& found, const PathText& paths)
        : layer_{layer}, found_{found}, table_{std::string{table_of(role)}}
    {
        table_.path = layer.path;
        table_.remarks.push_back(fmt::format("Guess: {}", what(layer)));
        table_.add("path", toml_string(paths.of(layer.path)));
        if (!layer.only_layer)
            table_.add("layer", toml_string(layer.layer), "The file has several layers");
    }

    static std::string what(const FoundLayer& layer)
    {
        constexpr std::string_view shapes[] = {"polygons", "lines", "points", "rows",
                                               "shapes of several kinds"};
        const std::string size =
            layer.shape == FoundShape::polygons && layer.median_area_m2 > 0
                ? fmt::format(", half of them below {:.3g} m2", layer.median_area_m2)
                : "";
        return fmt::format("{} {}{}", layer.features, shapes[static_cast<std::size_t>(layer.shape)],
                           size);
    }

    DraftTable finish()
    {
        const auto coordinates = coordinates_;
        if (layer_.crs.name.empty() || coordinates) {
            const std::string crs = guess_crs(extent_of(layer_, coordinates), found_);
            table_.keys.push_back(
                {"crs", toml_string(crs.empty() ? "EPSG:..." : crs),
                 crs.empty()
                     ? "The file does not say its coordinate system: find out and fill it in"
                     : "The file does not say its coordinate system; guessed from where its "
                       "places lie. Check it",
                 !crs.empty()});
        }
        if (!layer_.encoding.empty())
            table_.add("encoding", toml_string(layer_.encoding),
                       "Its texts are not UTF-8. Check names with accents in the output");
        return std::move(table_);
    }

    void structures()
    {
        if (const std::string id = id_column(layer_); !id.empty())
            table_.add("id", toml_string(id), "Filled in and different in every row");
        else
            table_.keys.push_back({"id", "\"id\"",
                                   "No column has an id for every row: feature ids "
                                   "are used, which may change with the file",
                                   false});
        table_.keys.push_back({"min_area_m2", "15",
                               "Leaves out sheds and the like: turn it on if only homes count",
                               false});
    }

    void addresses()
    {
        const std::vector<std::string> text = address_columns_of(layer_);
        table_.add("text", text.size() == 1 ? toml_string(text.front()) : toml_strings(text),
                   example(text));
        if (layer_.is_csv || layer_.shape == FoundShape::none) {
            coordinates_ = coordinate_columns(layer_);
            table_.add("x", toml_string((*coordinates_)[0]));
            table_.add("y", toml_string((*coordinates_)[1]));
        }
        table_.keys.push_back(
            {"join_within_m", "30", "From an address to the nearest wall", false});
    }

    void neighbourhoods()
    {
        const std::string name = name_column(layer_);
        table_.add("name", toml_string(name), example({name}));
    }

    void parcels()
    {
        const std::string owner = owner_column(layer_);
        table_.add("owner", toml_string(owner), example({owner}));
        std::vector<std::string> own;
        for (const std::string& value : layer_.column(owner)->values)
            if (hints_at(value, {"priv", "fee", "freehold", "indiv"}))
                own.push_back(value);
        if (own.empty())
            table_.keys.push_back(
                {"private", "[\"private\"]", "Which values are private owners?", false});
        else if (!(own.size() == 1 && small_letters(own[0]) == "private"))
            table_.add("private", toml_strings(own), "Taken for private owners");
    }

private:
    std::string example(const std::vector<std::string>& names) const
    {
        std::vector<std::string> parts;
        for (const std::string& name : names)
            if (const FoundColumn* column = layer_.column(name); column && !column->values.empty())
                parts.push_back(
                    names.size() == 1
                        ? fmt::format("{}", fmt::join(column->values.begin(),
                                                      column->values.begin() +
                                                          std::min<std::ptrdiff_t>(
                                                              3, static_cast<std::ptrdiff_t>(
                                                                     column->values.size())),
                                                      ", "))
                        : column->values.front());
        return fmt::format("Such as {}", fmt::join(parts, " "));
    }

    const FoundLayer& layer_;
    const FoundFolder& found_;
    DraftTable table_;
    std::optional<std::array<std::string, 2>> coordinates_;
};

DraftTable table_for(Role role, const FoundLayer& layer, const FoundFolder& found,
                     const PathText& paths)
{
    LayerTable table{layer, role, found, paths};
    switch (role) {
    case Role::structures:
        table.structures();
        break;
    case Role::addresses:
        table.addresses();
        break;
    case Role::neighbourhoods:
        table.neighbourhoods();
        break;
    case Role::parcels:
        table.parcels();
        break;
    default:
        break;
    }
    return table.finish();
}

} // namespace

std::string guess_crs(const Box& extent, const FoundFolder& found)
{
    const auto inside = [](const Box& a, const Box& b) {
        return a.min.x >= b.min.x && a.min.y >= b.min.y && a.max.x <= b.max.x && a.max.y <= b.max.y;
    };
    if (extent.min.x > extent.max.x)
        return {};
    if (inside(extent, {{-180, -90}, {180, 90}}))
        return "EPSG:4326";
    for (const FoundRaster& raster : found.rasters)
        if (!raster.crs.geographic && !raster.crs.text.empty() && extent.meets(raster.extent))
            return raster.crs.text;
    for (const FoundLayer& layer : found.layers)
        if (!layer.crs.geographic && !layer.crs.text.empty() && extent.meets(layer.extent))
            return layer.crs.text;
    return {};
}

void guess_layers(const FoundFolder& found, const PathText& paths, Guess& guess)
{
    const std::map<Role, const FoundLayer*> of = given_out(found.layers);
    for (const FoundLayer& layer : found.layers) {
        const auto role = std::find_if(of.begin(), of.end(),
                                       [&](const auto& given) { return given.second == &layer; });
        guess.said.push_back(
            {layer.path + (layer.only_layer ? "" : ", layer " + layer.layer),
             LayerTable::what(layer) + (role == of.end()
                                            ? ": not used"
                                            : fmt::format(" -> [{}]", table_of(role->first)))});
    }
    for (const Role role : roles)
        if (const auto at = of.find(role); at != of.end())
            guess.draft.tables.push_back(table_for(role, *at->second, found, paths));
    if (!of.contains(Role::structures)) {
        guess.missing.emplace_back("building footprints");
        DraftTable table{"inputs.structures",
                         {"Missing: fill in the layer of building footprints"}};
        table.add("path", "\"structures.gpkg\"");
        table.on = false;
        guess.draft.tables.push_back(std::move(table));
    }
}

} // namespace fuelring
