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

constexpr std::string_view crs_help = "CRS, only where the file has none";
constexpr std::string_view encoding_help =
    "what its texts are written in, such as WINDOWS-1252; only where that is not UTF-8";
constexpr std::string_view layer_help = "layer; the only one where absent";

constexpr auto sections = std::to_array<ConfigSection>({
    {"community", table, true, "the community"},
    {"inputs", table, true, "what is read: a table for each layer, and what holds for all"},
    {"inputs.structures", table, true,
     "footprints of buildings: polygons in any vector format that GDAL reads"},
    {"inputs.structures.attributes", list, false,
     "columns of the footprints that multiply how a structure is ranked"},
    {"inputs.fuel", table, true, "classes of vegetation or fuel: any raster that GDAL reads"},
    {"inputs.addresses", table, false, "points; each joins a structure"},
    {"inputs.neighbourhoods", table, false, "polygons that are ranked against each other"},
    {"inputs.parcels", table, false, "polygons that say whose ground it is; they do not overlap"},
    {"inputs.elevation", table, false, "a raster of heights of the ground"},
    {"inputs.corrections", table, false,
     "what visits found, dated and signed, applied on every run: a CSV or any vector layer"},
    {"rings", table, false, "distances from the wall and what they weigh"},
    {"terrain", table, false, "how rings reach further downhill; only with inputs.elevation"},
    {"terrain.factors", inline_list, false,
     "rows from gentle to steep, linear in between; [] keeps rings round. The default is one "
     "institution's advice (University of California, Agriculture and Natural Resources): where "
     "local rules give distances for slopes, enter theirs"},
    {"uncertainty", table, false,
     "draws of how footprints and raster may be off against each "
     "other; an empty table takes the defaults"},
    {"gate", table, false,
     "what may change between two runs without exit code 6; an empty table takes the defaults"},
    {"output", table, true, "what is written where"},
    {"run", table, false, "how the machine is used; changes no result"},
    {"treat", table, false, "the budget and rules of fuelring treat"},
    {"treat.budget", inline_table, true, "one of money and hectares"},
    {"treat.costs", inline_list, false,
     "what a hectare of conifers costs, by class of owner; without it no money is spoken of"},
    {"treat.keep_out", inline_table, false, "layer of places that are neither cut nor crossed"},
    {"treat.barriers", inline_table, false, "layer of what treatment units may not cross"},
});

constexpr auto keys = std::to_array<ConfigKey>({
    {"community", "name", text, required_key, "", "", "name of the community, in titles"},

    {"inputs", "reprojected_within_m", number, "5", "m", "0 or more",
     "a layer in another system than the raster's is refused where PROJ states more inaccuracy"},

    {"inputs.structures", "path", path, required_key, "", "", "file or GDAL connection string"},
    {"inputs.structures", "layer", text, "", "", "", layer_help},
    {"inputs.structures", "id", text, "", "", "", "column of ids; feature ids where absent"},
    {"inputs.structures", "where", text, "", "", "",
     "attribute filter in SQL, such as kind <> 'ruin'"},
    {"inputs.structures", "min_area_m2", number, "0", "m2", "0 or more",
     "smaller footprints are left out"},
    {"inputs.structures", "crs", text, "", "", "", crs_help},
    {"inputs.structures", "encoding", text, "", "", "", encoding_help},
    {"inputs.structures.attributes", "column", text, required_key, "", "",
     "column of the footprints"},
    {"inputs.structures.attributes", "multipliers", path, required_key, "", "",
     "table (CSV) value,label,multiplier,source"},
    {"inputs.structures.attributes", "unknown", number, "", "", "above 0, at most 100",
     "multiplier of values that the table lacks, and of empty ones"},

    {"inputs.fuel", "path", path, required_key, "", "", "file or GDAL connection string"},
    {"inputs.fuel", "band", whole, "1", "", "1 to 1000", "band of the classes"},
    {"inputs.fuel", "classes", path, required_key, "", "",
     "table of classes (CSV) code,label,group,conifer_share,source"},
    {"inputs.fuel", "date", date, "", "", "",
     "date of the imagery, a TOML date or as you write it"},
    {"inputs.fuel", "crs", text, "", "", "", crs_help},
    {"inputs.fuel", "unknown_codes", choice, "\"error\"", "", "error | unmapped",
     "what becomes of codes that the table of classes lacks"},

    {"inputs.addresses", "path", path, required_key, "", "", "file or GDAL connection string"},
    {"inputs.addresses", "layer", text, "", "", "", layer_help},
    {"inputs.addresses", "text", text, required_key, "", "",
     "column of the addresses as they are written"},
    {"inputs.addresses", "join_within_m", number, "30", "m", "0 or more",
     "an address joins the footprint that holds it, else the nearest within this distance"},
    {"inputs.addresses", "crs", text, "", "", "", crs_help},
    {"inputs.addresses", "encoding", text, "", "", "", encoding_help},

    {"inputs.neighbourhoods", "path", path, required_key, "", "", "file or GDAL connection string"},
    {"inputs.neighbourhoods", "layer", text, "", "", "", layer_help},
    {"inputs.neighbourhoods", "name", text, required_key, "", "",
     "column of names; polygons of one name are one neighbourhood"},
    {"inputs.neighbourhoods", "crs", text, "", "", "", crs_help},
    {"inputs.neighbourhoods", "encoding", text, "", "", "", encoding_help},

    {"inputs.parcels", "path", path, required_key, "", "", "file or GDAL connection string"},
    {"inputs.parcels", "layer", text, "", "", "", layer_help},
    {"inputs.parcels", "owner", text, required_key, "", "",
     "column of classes of owners (private, municipal, ...), at most 20"},
    {"inputs.parcels", "where", text, "", "", "", "attribute filter in SQL"},
    {"inputs.parcels", "private", texts, "[\"private\"]", "", "",
     "values of the owner column that are private, in any case"},
    {"inputs.parcels", "crs", text, "", "", "", crs_help},
    {"inputs.parcels", "encoding", text, "", "", "", encoding_help},

    {"inputs.elevation", "path", path, required_key, "", "", "file or GDAL connection string"},
    {"inputs.elevation", "band", whole, "1", "", "1 to 1000", "band of the heights"},
    {"inputs.elevation", "crs", text, "", "", "", crs_help},
    {"inputs.elevation", "unit", choice, "", "", "m | ft | us-ft",
     "unit of the heights, only where the file does not say or is wrong"},

    {"inputs.corrections", "path", path, required_key, "", "", "file or GDAL connection string"},
    {"inputs.corrections", "layer", text, "", "", "", layer_help},
    {"inputs.corrections", "crs", text, "", "", "", crs_help},
    {"inputs.corrections", "encoding", text, "", "", "", encoding_help},
    {"inputs.corrections", "kind", text, "\"kind\"", "", "",
     "column of not_conifer, conifer, unmapped or gone"},
    {"inputs.corrections", "structure_id", text, "\"structure_id\"", "", "",
     "column of the structure that is gone, or whose footprint is meant"},
    {"inputs.corrections", "group", text, "\"group\"", "", "",
     "column of what stands where no conifers do"},
    {"inputs.corrections", "date", text, "\"date\"", "", "",
     "column of the day of the visit, such as 2026-05-31"},
    {"inputs.corrections", "initials", text, "\"initials\"", "", "", "column of who was there"},
    {"inputs.corrections", "wkt", text, "\"wkt\"", "", "",
     "column of shapes as text, where the format has none of its own"},

    {"rings", "outer_m", numbers, "[1.5, 10, 30, 100]", "m",
     "rising, above 0, at most 10000; at most 50", "where rings end, from the wall outwards"},
    {"rings", "near_m", number, "", "m", "one of outer_m",
     "the distance that headlines and counts speak of; the second of outer_m where absent"},
    {"rings", "weight", numbers, "[0.35, 0.35, 0.20, 0.10]", "", "0 or more",
     "what each ring weighs in the exposure; scaled to sum 1. A planning default, no standard"},

    {"terrain.factors", "slope_deg", number, required_key, "degrees", "0 or more, below 90",
     "slope of the ground"},
    {"terrain.factors", "down", number, "1", "", "1 to 10",
     "rings reach this many times their distance downhill"},
    {"terrain.factors", "across", number, "1", "", "1 to 10", "the same to the sides"},

    {"uncertainty", "shift_m", number, "1.0", "m", "above 0, below 100",
     "how far the layers may be off against each other. A planning default"},
    {"uncertainty", "draws", whole, "32", "", "2 to 1000",
     "how many shifts are tried, the first without any"},
    {"uncertainty", "first", whole, "", "", "1 to 1000000000",
     "ranks of structures that count as first; a tenth of them where absent"},
    {"uncertainty", "first_neighbourhoods", whole, "", "", "1 to 1000000000",
     "the same of neighbourhoods"},

    {"gate", "on", flag, "true", "", "", "false lets everything pass"},
    {"gate", "max_change", number, "5", "percentage points", "0 to 100",
     "a share of the ground around structures, of addresses that join, of structures in a "
     "neighbourhood or on a parcel may move by so much. A planning default"},
    {"gate", "max_relative_change", number, "50", "%", "0 or more",
     "a share of conifers, the range of heights, the number of addresses, neighbourhoods or field "
     "checks may move by so much, for its size. A planning default"},
    {"gate", "max_structures_change", number, "10", "%", "0 or more",
     "the number of structures may change by so much. A planning default"},
    {"gate", "max_regrouped", number, "20", "% of the structures", "0 or more",
     "so many may come into another neighbourhood, or onto ground of another class of owner. A "
     "planning default"},
    {"gate", "min_height_correlation", number, "0.9", "", "0 to 1",
     "heights at the structures agree with those of the last run at least so well. A planning "
     "default"},

    {"output", "dir", path, required_key, "", "", "folder that a run replaces as a whole"},
    {"output", "csv_bom", flag, "true", "", "",
     "CSV files begin with a byte order mark, which spreadsheets look for"},
    {"output", "ring_outlines", flag, "false", "", "",
     "adds the outline of every ring to fuelring.gpkg"},
    {"output", "rank_by", choice, "\"exposure\"", "", "exposure | exposure_x_susceptibility",
     "what ranks; the second needs inputs.structures.attributes"},
    {"output", "history_runs", whole, "60", "", "1 to 10000",
     "so many runs are kept in history.csv"},

    {"run", "jobs", whole, "0", "", "0 to 1024",
     "worker threads; 0: one per core, within the CPU quota"},
    {"run", "tile_cells", whole, "512", "cells", "64 to 8192", "edge of a tile of work"},
    {"run", "memory_mb", whole, "", "MB", "64 to 16777216", "work within so much memory"},
    {"run", "minutes", number, "", "min", "above 0, at most 100000",
     "a command on this configuration that takes longer ends itself with exit code 7"},
    {"run", "also", texts, "[]", "", "treat, report",
     "made anew by every map, in the same publication"},
    {"run", "remote_inputs", flag, "false", "", "", "allows VRT, databases and URLs as inputs"},

    {"treat", "smallest_m2", number, "10", "m2", "0 or more",
     "of conifers in a unit. A planning default"},
    {"treat", "gap_m", number, "5", "m", "0 to 100",
     "open ground that a unit may bridge. A planning default"},
    {"treat", "max_unit_m2", number, "10000", "m2", "at least four times smallest_m2",
     "of conifers: the most that one unit holds; more is laid out in pieces. A planning default"},
    {"treat", "fixed_cost_per_unit", number, "0", "money", "0 or more",
     "what every unit, and every piece, costs beside its hectares; only with a budget of money"},
    {"treat", "residual_share", number, "0", "", "0 or more, below 1",
     "share of a cell's conifers that stays: 0 clears, 0.3 thins"},
    {"treat.budget", "money", number, "", "money", "above 0",
     "what may be spent; needs treat.costs"},
    {"treat.budget", "hectares", number, "", "ha", "above 0",
     "hectares of conifers that may be treated"},
    {"treat.costs", "owner", text, "\"*\"", "", "",
     "class of owners; * is every one without a row of its own"},
    {"treat.costs", "method", choice, "\"hand\"", "", "hand | machine",
     "how the ground of these owners is treated"},
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
