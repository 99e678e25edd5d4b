// SPDX-License-Identifier: Apache-2.0

// The tables of layers: columns by what they hold, and a remark on each guess.
#include "run/begin/guesses.hpp"
#include "run/begin/layer_roles.hpp"
#include "run/begin/words.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <map>

namespace fuelring {

namespace {

/// Where a table of coordinates lies; nothing of a layer whose shapes tell.
Box extent_of(const FoundLayer& layer, const std::optional<std::array<std::string, 2>>& columns)
{
    if (!columns)
        return layer.extent;
    const FoundColumn& x = *layer.column((*columns)[0]);
    const FoundColumn& y = *layer.column((*columns)[1]);
    return {{x.least, y.least}, {x.most, y.most}};
}

constexpr std::size_t most_columns = 8;

std::string area_in_words(double m2)
{
    constexpr double m2_a_hectare = 1e4;
    return m2 < m2_a_hectare ? fmt::format("{:.0f} m2", m2)
                             : fmt::format("{:.1f} ha", m2 / m2_a_hectare);
}

class LayerTable {
public:
    LayerTable(const FoundLayer& layer, LayerRole role, const FoundFolder& found,
               const PathText& paths)
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
                ? fmt::format(" (half of them below {})", area_in_words(layer.median_area_m2))
                : "";
        std::vector<std::string> columns;
        for (const FoundColumn& column : layer.columns)
            columns.push_back(column.name);
        const std::size_t more = columns.size() - std::min(columns.size(), most_columns);
        columns.resize(columns.size() - more);
        return fmt::format("{} {}{}, columns {}{}, {}", layer.features,
                           shapes[static_cast<std::size_t>(layer.shape)], size,
                           columns.empty() ? "none" : fmt::format("{}", fmt::join(columns, ", ")),
                           more > 0 ? fmt::format(" and {} more", more) : "",
                           layer.crs.name.empty() ? "no coordinate system" : layer.crs.name);
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

DraftTable table_for(LayerRole role, const FoundLayer& layer, const FoundFolder& found,
                     const PathText& paths)
{
    LayerTable table{layer, role, found, paths};
    switch (role) {
    case LayerRole::structures:
        table.structures();
        break;
    case LayerRole::addresses:
        table.addresses();
        break;
    case LayerRole::neighbourhoods:
        table.neighbourhoods();
        break;
    case LayerRole::parcels:
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
    const std::map<LayerRole, const FoundLayer*> of = given_out(found.layers, guess.fuel_layer);
    for (const FoundLayer& layer : found.layers) {
        const auto role = std::find_if(of.begin(), of.end(),
                                       [&](const auto& given) { return given.second == &layer; });
        guess.said.push_back(
            {layer.path + (layer.only_layer ? "" : ", layer " + layer.layer),
             LayerTable::what(layer) + (&layer == guess.fuel_layer ? " -> [inputs.fuel]"
                                        : role == of.end()
                                            ? ": not used"
                                            : fmt::format(" -> [{}]", table_of(role->first)))});
    }
    for (const LayerRole role : layer_roles)
        if (const auto at = of.find(role); at != of.end())
            guess.draft.tables.push_back(table_for(role, *at->second, found, paths));
    if (!of.contains(LayerRole::structures)) {
        guess.missing.emplace_back("building footprints");
        DraftTable table{"inputs.structures",
                         {"Missing: fill in the layer of building footprints"}};
        table.add("path", "\"structures.gpkg\"");
        table.on = false;
        guess.draft.tables.push_back(std::move(table));
    }
}

} // namespace fuelring
