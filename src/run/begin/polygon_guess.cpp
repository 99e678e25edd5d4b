// SPDX-License-Identifier: Apache-2.0

// A layer of polygons in place of a fuel raster: one with a column of whole numbers that are all
// codes of one class table, or of shares of conifers, and with a name that says so. Numbers alone
// would not do: codes from 1 to 10 are storeys of houses, too.
#include "base/csv_reader.hpp"
#include "run/begin/guesses.hpp"
#include "run/begin/raster_kinds.hpp"
#include "run/begin/words.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace fuelring {

namespace {

constexpr double least_stand_m2 = 100; ///< half of the polygons of a map of stands are larger

struct PolygonFuel {
    const FoundLayer* layer = nullptr;
    const FoundColumn* column = nullptr;
    const FoundTable* table = nullptr; ///< none for shares
};

bool is_like_stands(const std::string& name)
{
    return hints_at(name, {"fuel", "veg", "land", "=lc", "nlcd", "class", "forest", "stand", "=fbp",
                           "fbfm", "corine", "wald", "foret", "tree", "cover"});
}

bool is_share_of_conifers(const FoundColumn& column)
{
    return hints_at(column.name, {"conif", "needle", "nadel", "resin"}) && column.least >= 0 &&
           column.most <= 100;
}

/// Null where no table has all values; the one of the folder before others.
const FoundTable* table_with(const FoundColumn& column, const std::vector<FoundTable>& tables)
{
    const FoundTable* found = nullptr;
    if (column.different > FoundColumn::most_values)
        return nullptr;
    for (const FoundTable& table : tables) {
        const bool has_all =
            std::all_of(column.values.begin(), column.values.end(), [&](const std::string& value) {
                const auto code = number_in<std::int64_t>(value);
                return code && table.classes.find(*code);
            });
        if (has_all && (!found || (table.in_folder && !found->in_folder)))
            found = &table;
    }
    return found;
}

PolygonFuel fuel_of(const FoundLayer& layer, const std::vector<FoundTable>& tables)
{
    const std::string name = PathText::name(layer.path) + " " + layer.layer;
    if (layer.shape != FoundShape::polygons || layer.median_area_m2 < least_stand_m2 ||
        hints_at(name, {"build", "structure", "footprint", "parcel", "owner"}))
        return {};
    for (const FoundColumn& column : layer.columns) {
        if (!column.all_numbers || column.filled == 0)
            continue;
        if (is_share_of_conifers(column))
            return {&layer, &column, nullptr};
        if (column.unique && layer.features > 1)
            continue; // a number for each polygon
        if (is_like_stands(name) || is_like_stands(column.name))
            if (const FoundTable* table = table_with(column, tables))
                return {&layer, &column, table};
    }
    return {};
}

DraftTable table_for_fuel(const PolygonFuel& fuel, const FoundFolder& found, const PathText& paths)
{
    DraftTable table{"inputs.fuel"};
    table.path = fuel.layer->path;
    table.remarks.push_back(fmt::format(
        "Guess: {} polygons whose column {} holds {}", fuel.layer->features, fuel.column->name,
        fuel.table ? "codes of " + PathText::name(fuel.table->path) : "the share of conifers"));
    table.add("path", toml_string(paths.of(fuel.layer->path)));
    if (!fuel.layer->only_layer)
        table.add("layer", toml_string(fuel.layer->layer), "The file has several layers");
    table.add("column", toml_string(fuel.column->name));
    table.add("cell_m", "1",
              "Polygons are burnt into cells of this side: 1 m resolves the ring out to 1.5 m, "
              "larger cells are quicker. Ground that no polygon covers is unmapped");
    if (fuel.table)
        table.add("classes", toml_string(paths.of(fuel.table->path)),
                  "Read the table: codes clash between legends, and a wrong one may fit as well");
    else
        table.add("values", fuel.column->most <= 1 ? "\"fraction\"" : "\"percent\"",
                  "If it is the share of all trees, conifers are overstated");
    if (fuel.layer->crs.name.empty()) {
        const std::string crs = guess_crs(fuel.layer->extent, found);
        table.keys.push_back({"crs", toml_string(crs.empty() ? "EPSG:..." : crs),
                              "The file does not say its coordinate system. Check it",
                              !crs.empty()});
    }
    return table;
}

} // namespace

bool guess_fuel_polygons(const FoundFolder& found, const PathText& paths, Guess& guess)
{
    for (const FoundLayer& layer : found.layers)
        if (const PolygonFuel fuel = fuel_of(layer, found.tables); fuel.layer) {
            guess.fuel_layer = fuel.layer;
            guess.draft.tables.push_back(table_for_fuel(fuel, found, paths));
            return true;
        }
    return false;
}

} // namespace fuelring
