// SPDX-License-Identifier: Apache-2.0

// The one place where keys of the configuration are declared: the reader (config_table.cpp) refuses
// what has no row here, and the manual page of the configuration file is made of these rows.
// tests/unit/run/config_keys_test.cpp holds types, choices, ranges and defaults against the reader.

#include "run/config/config_keys.hpp"

#include <algorithm>
#include <array>

namespace fuelring {

namespace {

using enum SectionShape;
using enum KeyType;

constexpr std::string_view crs_help = "CRS, only if the file has none";
constexpr std::string_view encoding_help =
    "encoding of its texts, such as WINDOWS-1252; only if it is not UTF-8";
constexpr std::string_view layer_help = "layer name; may be omitted if the file has only one";

constexpr auto sections = std::to_array<ConfigSection>({
    {"community", table, true, "the community"},
    {"inputs", table, true, "input files: a table for each, and settings for all of them"},
    {"inputs.structures", table, true,
     "building footprints: polygons in any vector format GDAL can read"},
    {"inputs.structures.attributes", list, false,
     "attributes of structures, such as the roof, that multiply the value used for ranking"},
    {"inputs.fuel", table, true, "vegetation or fuel classes: any raster GDAL can read"},
    {"inputs.addresses", table, false, "points; each address joins a structure"},
    {"inputs.neighbourhoods", table, false, "polygons to compare and rank"},
    {"inputs.parcels", table, false, "land parcels with an owner category; they must not overlap"},
    {"inputs.elevation", table, false, "a raster of ground heights"},
    {"inputs.corrections", table, false,
     "results of site visits, dated and signed, applied on every run: a CSV or any vector layer"},
    {"rings", table, false, "distances from the wall, and their weights"},
    {"terrain", table, false, "how much further rings reach downhill; only with inputs.elevation"},
    {"terrain.factors", inline_list, false,
     "rows from gentle to steep, linear in between; [] keeps rings round. The default is one "
     "institution's advice (University of California, Agriculture and Natural Resources): where "
     "local rules give distances for slopes, enter theirs"},
    {"uncertainty", table, false,
     "repeats the run with footprints and raster misaligned; an empty table takes the defaults"},
    {"gate", table, false,
     "how much inputs may change between two runs without exit code 6; an empty table takes the "
     "defaults"},
    {"output", table, true, "the output folder and its files"},
    {"run", table, false, "how the machine is used; none of it changes a result"},
    {"treat", table, false, "the budget and rules of fuelring treat"},
    {"treat.budget", inline_table, true, "either money or hectares"},
    {"treat.costs", inline_list, false,
     "cost of a hectare of conifers, by owner category; without it the plan has no money in it"},
    {"treat.keep_out", inline_table, false, "places that units may neither cut nor cross"},
    {"treat.barriers", inline_table, false, "obstacles that units may not cross"},
});

constexpr auto keys = std::to_array<ConfigKey>({
    {"community", "name", text, required_key, "", "", "community name, used in titles"},

    {"inputs", "reprojected_within_m", number, "5", "m", "0 or more",
     "a layer in another coordinate system is refused if PROJ states more inaccuracy than this"},

    {"inputs.structures", "path", path, required_key, "", "", "file or GDAL connection string"},
    {"inputs.structures", "layer", text, "", "", "", layer_help},
    {"inputs.structures", "id", text, "", "", "", "column of ids; default: feature ids"},
    {"inputs.structures", "where", text, "", "", "",
     "attribute filter in SQL, such as kind <> 'ruin'"},
    {"inputs.structures", "min_area_m2", number, "0", "m2", "0 or more",
     "smaller footprints are left out"},
    {"inputs.structures", "crs", text, "", "", "", crs_help},
    {"inputs.structures", "encoding", text, "", "", "", encoding_help},
    {"inputs.structures.attributes", "column", text, required_key, "", "",
     "column of the footprints"},
    {"inputs.structures.attributes", "multipliers", path, required_key, "", "",
     "a CSV with value,label,multiplier,source"},
    {"inputs.structures.attributes", "unknown", number, "", "", "above 0, at most 100",
     "multiplier for values not in the table, and for empty values"},

    {"inputs.fuel", "path", path, required_key, "", "", "file or GDAL connection string"},
    {"inputs.fuel", "band", whole, "1", "", "1 to 1000", "band of the classes"},
    {"inputs.fuel", "classes", path, required_key, "", "",
     "class table: a CSV with code,label,group,conifer_share,source"},
    {"inputs.fuel", "date", date, "", "", "",
     "date of the imagery: a TOML date, or text as you write it"},
    {"inputs.fuel", "crs", text, "", "", "", crs_help},
    {"inputs.fuel", "unknown_codes", choice, "\"error\"", "", "error | unmapped",
     "what to do with codes not in the class table"},

    {"inputs.addresses", "path", path, required_key, "", "", "file or GDAL connection string"},
    {"inputs.addresses", "layer", text, "", "", "", layer_help},
    {"inputs.addresses", "text", text, required_key, "", "", "column with the address text"},
    {"inputs.addresses", "join_within_m", number, "30", "m", "0 or more",
     "an address joins the footprint it lies in, else the nearest one within this distance"},
    {"inputs.addresses", "crs", text, "", "", "", crs_help},
    {"inputs.addresses", "encoding", text, "", "", "", encoding_help},

    {"inputs.neighbourhoods", "path", path, required_key, "", "", "file or GDAL connection string"},
    {"inputs.neighbourhoods", "layer", text, "", "", "", layer_help},
    {"inputs.neighbourhoods", "name", text, required_key, "", "",
     "column of names; polygons with the same name are one neighbourhood"},
    {"inputs.neighbourhoods", "crs", text, "", "", "", crs_help},
    {"inputs.neighbourhoods", "encoding", text, "", "", "", encoding_help},

    {"inputs.parcels", "path", path, required_key, "", "", "file or GDAL connection string"},
    {"inputs.parcels", "layer", text, "", "", "", layer_help},
    {"inputs.parcels", "owner", text, required_key, "", "",
     "column of owner categories (private, municipal, ...), at most 20"},
    {"inputs.parcels", "where", text, "", "", "", "attribute filter in SQL"},
    {"inputs.parcels", "private", texts, "[\"private\"]", "", "",
     "values that count as private (upper or lower case)"},
    {"inputs.parcels", "crs", text, "", "", "", crs_help},
    {"inputs.parcels", "encoding", text, "", "", "", encoding_help},

    {"inputs.elevation", "path", path, required_key, "", "", "file or GDAL connection string"},
    {"inputs.elevation", "band", whole, "1", "", "1 to 1000", "band of the heights"},
    {"inputs.elevation", "crs", text, "", "", "", crs_help},
    {"inputs.elevation", "unit", choice, "", "", "m | ft | us-ft",
     "unit of the heights, only if the file does not say it or is wrong"},

    {"inputs.corrections", "path", path, required_key, "", "", "file or GDAL connection string"},
    {"inputs.corrections", "layer", text, "", "", "", layer_help},
    {"inputs.corrections", "crs", text, "", "", "", crs_help},
    {"inputs.corrections", "encoding", text, "", "", "", encoding_help},
    {"inputs.corrections", "kind", text, "\"kind\"", "", "",
     "column of not_conifer, conifer, unmapped or gone"},
    {"inputs.corrections", "structure_id", text, "\"structure_id\"", "", "",
     "column of the structure that is gone, or whose footprint the row is about"},
    {"inputs.corrections", "group", text, "\"group\"", "", "",
     "column of what is there instead of conifers"},
    {"inputs.corrections", "date", text, "\"date\"", "", "",
     "column of the day of the visit, such as 2026-05-31"},
    {"inputs.corrections", "initials", text, "\"initials\"", "", "",
     "column of the visitor's initials"},
    {"inputs.corrections", "wkt", text, "\"wkt\"", "", "",
     "column of shapes as text, if the format has no shapes of its own"},

    {"rings", "outer_m", numbers, "[1.5, 10, 30, 100]", "m",
     "rising, above 0, at most 10000; at most 50", "where rings end, from the wall outwards"},
    {"rings", "near_m", number, "", "m", "one of outer_m",
     "distance used in headlines and counts; default: the second of outer_m"},
    {"rings", "weight", numbers, "[0.35, 0.35, 0.20, 0.10]", "", "0 or more",
     "weight of each ring in the exposure, scaled to sum 1. A planning default, not a standard"},

    {"terrain.factors", "slope_deg", number, required_key, "degrees", "0 or more, below 90",
     "slope of the ground"},
    {"terrain.factors", "down", number, "1", "", "1 to 10",
     "rings reach this many times their distance downhill"},
    {"terrain.factors", "across", number, "1", "", "1 to 10", "the same to the sides"},

    {"uncertainty", "shift_m", number, "1.0", "m", "above 0, below 100",
     "how far the layers may be misaligned. A planning default"},
    {"uncertainty", "draws", whole, "32", "", "2 to 1000",
     "number of shifts tried; the first is none"},
    {"uncertainty", "first", whole, "", "", "1 to 1000000000",
     "ranks that count as first among structures; default: a tenth of them"},
    {"uncertainty", "first_neighbourhoods", whole, "", "", "1 to 1000000000",
     "the same for neighbourhoods"},

    {"gate", "on", flag, "true", "", "", "false turns the check off"},
    {"gate", "max_change", number, "5", "percentage points", "0 to 100",
     "largest change of a share: of the ground around structures, of addresses that join, of "
     "structures in a neighbourhood or on a parcel. A planning default"},
    {"gate", "max_relative_change", number, "50", "%", "0 or more",
     "largest change, relative to its size, of the conifer share, the range of heights, or the "
     "number of addresses, neighbourhoods or field checks. A planning default"},
    {"gate", "max_structures_change", number, "10", "%", "0 or more",
     "largest change in the number of structures. A planning default"},
    {"gate", "max_regrouped", number, "20", "% of the structures", "0 or more",
     "most structures that may move to another neighbourhood or owner category. A planning "
     "default"},
    {"gate", "min_height_correlation", number, "0.9", "", "0 to 1",
     "least correlation of heights at the structures with those of the last run. A planning "
     "default"},

    {"output", "dir", path, required_key, "", "", "output folder; every run replaces it"},
    {"output", "csv_bom", flag, "true", "", "",
     "begin CSV files with a byte order mark, which spreadsheets look for"},
    {"output", "ring_outlines", flag, "false", "", "",
     "add the outline of every ring to fuelring.gpkg"},
    {"output", "rank_by", choice, "\"exposure\"", "", "exposure | exposure_x_susceptibility",
     "value used for ranking; the second needs inputs.structures.attributes"},
    {"output", "history_runs", whole, "60", "", "1 to 10000", "number of runs kept in history.csv"},

    {"run", "jobs", whole, "0", "", "0 to 1024",
     "number of worker threads; 0 means one per core, within the CPU quota"},
    {"run", "tile_cells", whole, "512", "cells", "64 to 8192", "edge of a tile of work"},
    {"run", "memory_mb", whole, "", "MB", "64 to 16777216", "memory limit of a run"},
    {"run", "minutes", number, "", "min", "above 0, at most 100000",
     "time limit: a longer run ends with exit code 7"},
    {"run", "also", texts, "[]", "", "treat, report",
     "what every map also makes and publishes with its own files"},
    {"run", "remote_inputs", flag, "false", "", "",
     "allow VRT files, databases and URLs as inputs"},

    {"treat", "smallest_m2", number, "10", "m2", "0 or more",
     "least area of conifers in a unit. A planning default"},
    {"treat", "gap_m", number, "5", "m", "0 to 100",
     "width of open ground that a unit may bridge. A planning default"},
    {"treat", "max_unit_m2", number, "10000", "m2", "at least four times smallest_m2",
     "largest area of conifers in a unit; larger ones are divided. A planning default"},
    {"treat", "fixed_cost_per_unit", number, "0", "money", "0 or more",
     "cost of every unit, in addition to its hectares; only with a budget of money"},
    {"treat", "residual_share", number, "0", "", "0 or more, below 1",
     "share of a cell's conifers that stays: 0 clears, 0.3 thins"},
    {"treat.budget", "money", number, "", "money", "above 0", "money to spend; needs treat.costs"},
    {"treat.budget", "hectares", number, "", "ha", "above 0", "hectares of conifers to treat"},
    {"treat.costs", "owner", text, "\"*\"", "", "",
     "owner category; * means every one without a row of its own"},
    {"treat.costs", "method", choice, "\"hand\"", "", "hand | machine",
     "how the land of these owners is treated"},
    {"treat.costs", "per_ha", number, required_key, "money / ha", "above 0",
     "cost of a hectare of conifers"},
    {"treat.keep_out", "path", path, required_key, "", "", "file or GDAL connection string"},
    {"treat.keep_out", "layer", text, "", "", "", layer_help},
    {"treat.keep_out", "crs", text, "", "", "", crs_help},
    {"treat.barriers", "path", path, required_key, "", "", "file or GDAL connection string"},
    {"treat.barriers", "layer", text, "", "", "", layer_help},
    {"treat.barriers", "crs", text, "", "", "", crs_help},
});

} // namespace

std::span<const ConfigSection> config_sections()
{
    return sections;
}

std::span<const ConfigKey> config_keys()
{
    return keys;
}

std::vector<std::string_view> config_keys_in(std::string_view table)
{
    std::vector<std::string_view> found;
    for (const ConfigKey& key : keys)
        if (key.table == table)
            found.push_back(key.key);
    for (const ConfigSection& section : sections) {
        const std::size_t dot = section.name.rfind('.');
        const bool top = dot == section.name.npos;
        if ((top ? std::string_view{} : section.name.substr(0, dot)) == table)
            found.push_back(top ? section.name : section.name.substr(dot + 1));
    }
    return found;
}

std::string_view type_name(KeyType type)
{
    switch (type) {
    case text:
    case choice:
        return "text";
    case path:
        return "path";
    case date:
        return "date or text";
    case flag:
        return "true or false";
    case number:
        return "number";
    case whole:
        return "whole number";
    case numbers:
        return "list of numbers";
    case texts:
        return "list of texts";
    }
    return {};
}

} // namespace fuelring
