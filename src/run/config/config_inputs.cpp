// SPDX-License-Identifier: Apache-2.0

// [inputs]: one function a layer, each from its table into its source. Values are checked here as
// far as the file alone can tell; whether a column or a layer exists is found by who reads it.
#include "base/faults.hpp"
#include "io/raster/height_unit.hpp"
#include "run/config/config_parts.hpp"

#include <fmt/format.h>

#include <string>
#include <utility>
#include <vector>

namespace fuelring {

using namespace std::string_literals;

namespace {

constexpr std::size_t most_attributes = 10; ///< products of multipliers stay finite

/// What the tables of all layers have.
LayerSource source_of(const ConfigTable& t)
{
    return {.path = t.required_path("path"),
            .layer = t.text("layer"),
            .where = t.text("where"),
            .crs = t.text("crs"),
            .encoding = t.text("encoding")};
}

void read_structures(const ConfigTable& inputs, InputSettings& into)
{
    const ConfigTable t = inputs.required_table("structures");
    into.structures = {source_of(t), t.text("id"), t.number_from_0("min_area_m2", 0)};
    into.structures.homes = t.text("homes");
    into.structures.people = t.text("people");
    const auto attributes = t.tables("attributes");
    if (attributes && attributes->size() > most_attributes)
        throw t.wrong(
            "attributes",
            fmt::format("{} attributes; {} is the most", attributes->size(), most_attributes),
            "leave some out: their multipliers are multiplied");
    for (const ConfigTable& a : attributes.value_or(std::vector<ConfigTable>{})) {
        into.attributes.push_back(
            {a.required_text("column"), a.required_path("multipliers"), a.number("unknown")});
        if (const auto& unknown = into.attributes.back().unknown;
            unknown && !is_multiplier(*unknown))
            throw a.wrong("unknown", fmt::format("a multiplier of {} is out of range", *unknown),
                          "multipliers are above 0 and at most 100");
        into.structures.attributes.push_back(into.attributes.back().column);
    }
}

FuelValues fuel_values(const ConfigTable& fuel)
{
    const std::string word = fuel.choice("values", {"classes", "percent", "fraction"});
    if (word == "classes")
        return FuelValues::classes;
    if (fuel.has("classes"))
        throw fuel.wrong(
            "classes", fmt::format("a class table beside values = \"{}\", which needs none", word),
            "take out the one that is not meant");
    return word == "percent" ? FuelValues::percent : FuelValues::fraction;
}

/// What only polygons have; without inputs.fuel.cell_m the fuel is a raster.
void read_fuel_polygons(const ConfigTable& t, FuelSource& fuel)
{
    const std::optional<double> cell_m = t.number("cell_m");
    if (!cell_m) {
        for (const char* key : {"column", "layer", "where", "encoding"})
            if (t.has(key))
                throw t.wrong(
                    key, "a raster has no " + std::string{key},
                    "set inputs.fuel.cell_m where the fuel is a layer of polygons, else take it "
                    "out");
        return;
    }
    if (!(*cell_m >= 0.1 && *cell_m <= 1000))
        throw t.wrong("cell_m", fmt::format("cells of {} m are out of range", *cell_m),
                      "write a number from 0.1 to 1000");
    if (fuel.band != 1)
        throw t.wrong("band", "polygons have no band", "take out band, or cell_m");
    if (!fuel.tiles.empty())
        throw t.wrong("path", "polygons come from one file", "name one file and its layer");
    fuel.cell_m = *cell_m;
    fuel.column = t.required_text("column");
    fuel.layer = t.text("layer");
    fuel.where = t.text("where");
    fuel.encoding = t.text("encoding");
}

void read_fuel(const ConfigTable& inputs, InputSettings& into)
{
    const ConfigTable t = inputs.required_table("fuel");
    const FuelValues values = fuel_values(t);
    RasterFiles files = t.required_raster("path");
    into.fuel = {.path = std::move(files.path),
                 .tiles = std::move(files.tiles),
                 .band = t.whole("band", 1, 1000, 1),
                 .classes = values == FuelValues::classes ? t.required_path("classes") : "",
                 .values = values,
                 .date = t.date("date").value_or(""),
                 .crs = t.text("crs"),
                 .unknown_codes_are_unmapped =
                     t.choice("unknown_codes", {"error", "unmapped"}) == "unmapped"};
    read_fuel_polygons(t, into.fuel);
}

void read_addresses(const ConfigTable& inputs, InputSettings& into)
{
    const auto t = inputs.table("addresses");
    if (!t)
        return;
    std::vector<std::string> columns = t->text_or_texts("text");
    AddressSource& source = into.addresses.emplace(AddressSource{
        source_of(*t), columns.front(), t->number_from_0("join_within_m", default_join_within_m)});
    source.more_text.assign(columns.begin() + 1, columns.end());
    source.x = t->text("x");
    source.y = t->text("y");
    if (source.x.empty() != source.y.empty())
        throw t->wrong(source.x.empty() ? "y" : "x", "a column of one coordinate alone",
                       "name both columns, x and y");
}

void read_neighbourhoods(const ConfigTable& inputs, InputSettings& into)
{
    if (const auto t = inputs.table("neighbourhoods"))
        into.neighbourhoods = NeighbourhoodSource{source_of(*t), t->required_text("name")};
}

void read_parcels(const ConfigTable& inputs, InputSettings& into)
{
    const auto t = inputs.table("parcels");
    if (!t)
        return;
    into.parcels = ParcelSource{source_of(*t), t->required_text("owner"),
                                t->texts("private").value_or(std::vector{"private"s})};
    into.parcel_id = t->text("id");
}

std::optional<HeightUnit> height_unit(const ConfigTable& elevation)
{
    if (!elevation.has("unit"))
        return std::nullopt;
    const std::string text = elevation.required_text("unit");
    const std::optional<HeightUnit> unit = height_unit_of_key(text);
    if (!unit)
        throw elevation.wrong("unit", fmt::format("'{}' is not a height unit", text),
                              "write \"m\", \"ft\" or \"us-ft\"");
    return unit;
}

void read_elevation(const ConfigTable& inputs, InputSettings& into)
{
    const auto t = inputs.table("elevation");
    if (!t)
        return;
    RasterFiles files = t->required_raster("path");
    into.elevation = ElevationSource{.path = std::move(files.path),
                                     .tiles = std::move(files.tiles),
                                     .band = t->whole("band", 1, 1000, 1),
                                     .crs = t->text("crs"),
                                     .unit = height_unit(*t)};
}

void read_roads(const ConfigTable& inputs, InputSettings& into)
{
    if (const auto t = inputs.table("roads"))
        into.roads = source_of(*t);
}

void read_corrections(const ConfigTable& inputs, InputSettings& into)
{
    const auto t = inputs.table("corrections");
    if (!t)
        return;
    CorrectionSource& source = into.corrections.emplace(CorrectionSource{source_of(*t)});
    for (const auto& [key, column] :
         {std::pair{"kind", &source.kind}, std::pair{"structure_id", &source.structure_id},
          std::pair{"group", &source.group}, std::pair{"date", &source.date},
          std::pair{"initials", &source.initials}, std::pair{"wkt", &source.wkt}})
        if (t->has(key))
            *column = t->required_text(key);
}

} // namespace

void read_inputs_of_classify(const ConfigTable& root, InputSettings& into)
{
    const auto inputs = root.table("inputs");
    if (!inputs)
        return;
    FaultList faults;
    if (inputs->has("structures"))
        faults.attempt([&] { read_structures(*inputs, into); });
    faults.attempt([&] { read_corrections(*inputs, into); });
    faults.raise();
}

std::optional<AreaSource> read_area(const ConfigTable& root)
{
    const auto community = root.table("community");
    const auto t = community ? community->table("area") : std::nullopt;
    if (!t)
        return std::nullopt;
    AreaSource area;
    if (t->has("path") == t->has("box"))
        throw community->wrong("area", "an area is either a layer or a box",
                               "write area = { path = \"town.gpkg\" } or area = { box = [west, "
                               "south, east, north] }");
    if (t->has("path")) {
        area = {source_of(*t)};
        return area;
    }
    for (const char* key : {"layer", "where", "encoding"})
        if (t->has(key))
            throw t->wrong(key, "a box has no layer", "take it out");
    area.crs = t->text("crs");
    const std::vector<double> box = t->numbers("box").value();
    if (box.size() != 4 || !(box[0] < box[2] && box[1] < box[3]))
        throw t->wrong("box",
                       "not a box: four numbers are expected, the first below the third and "
                       "the second below the fourth",
                       "write box = [west, south, east, north]");
    area.box = {box[0], box[1], box[2], box[3]};
    return area;
}

void read_inputs_table(const ConfigTable& root, InputSettings& into)
{
    const ConfigTable inputs = root.required_table("inputs");
    into.reprojected_within_m =
        inputs.number_from_0("reprojected_within_m", into.reprojected_within_m);
    FaultList faults;
    for (auto* read : {read_structures, read_fuel, read_addresses, read_neighbourhoods,
                       read_parcels, read_elevation, read_roads, read_corrections})
        faults.attempt([&] { read(inputs, into); });
    faults.raise();
}

} // namespace fuelring
