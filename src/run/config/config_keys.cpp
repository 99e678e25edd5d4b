// SPDX-License-Identifier: Apache-2.0

// The one place where keys of the configuration are declared: the reader (config_table.cpp) refuses
// what has no row here or in config_sections.cpp, and the manual page of the configuration file is
// made of these rows. tests/unit/run/config_keys_test.cpp holds types, choices, ranges and defaults
// against the reader.

#include "run/config/config_keys.hpp"

#include <algorithm>
#include <array>

namespace fuelring {

namespace {

using enum KeyType;

// Keys without unit and choices; the first kind has to be there.
constexpr ConfigKey needed(std::string_view table, std::string_view key, std::string_view what,
                           KeyType type = text)
{
    return {table, key, type, required_key, "", "", what};
}
constexpr ConfigKey plain(std::string_view table, std::string_view key, KeyType type,
                          std::string_view fallback, std::string_view what)
{
    return {table, key, type, fallback, "", "", what};
}

// Keys that every layer has.
constexpr auto file_of = [](std::string_view table) {
    return needed(table, "path", "file or GDAL connection string", path);
};
constexpr auto raster_of = [](std::string_view table) {
    return needed(
        table, "path",
        "file or GDAL connection string; of tiles a pattern such as tiles/*.tif (by name) "
        "or a list. Where tiles overlap, the later one lies on top",
        paths);
};
constexpr auto layer_of = [](std::string_view table) {
    return plain(table, "layer", text, "", "layer name; may be omitted if the file has only one");
};
constexpr auto where_of = [](std::string_view table) {
    return plain(table, "where", text, "", "attribute filter in SQL, such as kind <> 'ruin'");
};
constexpr auto crs_of = [](std::string_view table) {
    return plain(table, "crs", text, "", "coordinate system, only if the file has none");
};
constexpr auto encoding_of = [](std::string_view table) {
    return plain(table, "encoding", text, "",
                 "text encoding, such as WINDOWS-1252; only if it is not UTF-8");
};

constexpr auto keys = std::to_array<ConfigKey>({
    needed("community", "name", "community name, used in titles"),
    plain("community.area", "path", path, "", "layer of polygons; or else a box"),
    layer_of("community.area"),
    where_of("community.area"),
    {"community.area", "box", numbers, "", "", "west, south, east, north",
     "instead of path: its edges, in degrees of WGS 84 unless crs is given"},
    plain("community.area", "crs", text, "",
          "coordinate system of the box, or of a file that has none"),
    encoding_of("community.area"),

    {"inputs", "reprojected_within_m", number, "5", "m", "0 or more",
     "a layer in another coordinate system than the raster's is refused if PROJ reports a larger "
     "error"},

    file_of("inputs.structures"),
    layer_of("inputs.structures"),
    plain("inputs.structures", "id", text, "", "id column; without it, feature ids are used"),
    where_of("inputs.structures"),
    plain("inputs.structures", "homes", text, "",
          "which structures are homes (attribute filter, OGR SQL), to count them apart; without "
          "it, all are"),
    plain("inputs.structures", "people", text, "",
          "column with the number of people who live there, to sum them up"),
    {"inputs.structures", "min_area_m2", number, "0", "m2", "0 or more",
     "ignore footprints smaller than this"},
    crs_of("inputs.structures"),
    encoding_of("inputs.structures"),
    needed("inputs.structures.attributes", "column", "footprint column"),
    needed("inputs.structures.attributes", "multipliers",
           "CSV table with columns value,label,multiplier,source", path),
    {"inputs.structures.attributes", "unknown", number, "", "", "above 0, at most 100",
     "multiplier for values not in the table, and for empty values"},

    raster_of("inputs.fuel"),
    {"inputs.fuel", "band", whole, "1", "", "1 to 1000", "band with the classes or shares"},
    {"inputs.fuel", "cell_m", number, "", "m", "0.1 to 1000",
     "only where path is a layer of polygons: the side of the cells that they are burnt into"},
    plain("inputs.fuel", "column", text, "",
          "needed with cell_m: column of the polygons with the class code or the share"),
    layer_of("inputs.fuel"),
    where_of("inputs.fuel"),
    encoding_of("inputs.fuel"),
    {"inputs.fuel", "values", choice, "\"classes\"", "", "classes | percent | fraction",
     "what the cells hold: codes of the class table, or the share of conifers in percent (0 to "
     "100) "
     "or as a fraction (0 to 1)"},
    needed("inputs.fuel", "classes",
           "CSV class table with columns code,label,group,conifer_share,source; not with values = "
           "\"percent\" or \"fraction\"",
           path),
    plain("inputs.fuel", "date", date, "", "imagery date: a TOML date, or any text"),
    crs_of("inputs.fuel"),
    {"inputs.fuel", "unknown_codes", choice, "\"error\"", "", "error | unmapped",
     "what to do with codes not in the class table, and with values that are not a share"},

    file_of("inputs.addresses"),
    layer_of("inputs.addresses"),
    where_of("inputs.addresses"),
    needed("inputs.addresses", "text",
           "address column, as addresses are written; or a list of columns that make one together, "
           "such as [\"street\", \"number\"]",
           columns),
    plain("inputs.addresses", "x", text, "",
          "column of eastings or longitudes, of a table without points; decimal commas will do"),
    plain("inputs.addresses", "y", text, "", "column of northings or latitudes"),
    {"inputs.addresses", "join_within_m", number, "30", "m", "0 or more",
     "an address is matched to the footprint it lies in, or else to the nearest one within this "
     "distance"},
    crs_of("inputs.addresses"),
    encoding_of("inputs.addresses"),

    file_of("inputs.neighbourhoods"),
    layer_of("inputs.neighbourhoods"),
    where_of("inputs.neighbourhoods"),
    needed("inputs.neighbourhoods", "name",
           "name column; polygons with the same name are one neighbourhood"),
    crs_of("inputs.neighbourhoods"),
    encoding_of("inputs.neighbourhoods"),

    file_of("inputs.parcels"),
    layer_of("inputs.parcels"),
    needed("inputs.parcels", "owner",
           "owner class column (private, municipal, ...), at most 20 classes"),
    plain("inputs.parcels", "id", text, "",
          "column with the parcel's id, for plans by parcel (treat.shape); feature ids where it is "
          "left out"),
    where_of("inputs.parcels"),
    plain("inputs.parcels", "private", texts, "[\"private\"]",
          "values that count as private (upper or lower case)"),
    crs_of("inputs.parcels"),
    encoding_of("inputs.parcels"),

    raster_of("inputs.elevation"),
    {"inputs.elevation", "band", whole, "1", "", "1 to 1000", "band with the heights"},
    crs_of("inputs.elevation"),
    {"inputs.elevation", "unit", choice, "", "", "m | ft | us-ft",
     "height unit; only if the file does not state it or states it wrongly"},

    file_of("inputs.roads"),
    layer_of("inputs.roads"),
    where_of("inputs.roads"),
    crs_of("inputs.roads"),
    encoding_of("inputs.roads"),

    file_of("inputs.corrections"),
    layer_of("inputs.corrections"),
    where_of("inputs.corrections"),
    crs_of("inputs.corrections"),
    encoding_of("inputs.corrections"),
    plain("inputs.corrections", "kind", text, "\"kind\"",
          "column with the finding: not_conifer, conifer, unmapped or gone"),
    plain("inputs.corrections", "structure_id", text, "\"structure_id\"",
          "column with the id of the structure that is gone or whose footprint is meant"),
    plain("inputs.corrections", "group", text, "\"group\"",
          "column with the cover found instead of conifers"),
    plain("inputs.corrections", "date", text, "\"date\"",
          "column with the date of the visit, such as 2026-05-31"),
    plain("inputs.corrections", "initials", text, "\"initials\"",
          "column with the visitor's initials"),
    plain("inputs.corrections", "wkt", text, "\"wkt\"",
          "column with shapes as WKT, for formats without geometry"),

    {"imagery", "extent", choice, "\"structures\"", "", "structures | images",
     "what is classified: the surroundings of the structures, out to the widest ring, or all that "
     "the images show"},
    {"imagery", "cell_m", number, "", "m", "0.05 to 100",
     "side of a cell; without it, that of the first image, but at least 0.5"},
    needed("imagery.images", "path",
           "raster file, a list of tiles, or a pattern such as \"tiles/*.tif\"", paths),
    {"imagery.images", "roles", texts, required_key, "",
     "blue | green | red | red_edge | near_infrared | height | surface | terrain | other",
     "what each band holds, in the order of the file; heights in metres above the ground, surface "
     "and terrain in metres above the sea"},
    {"imagery.images", "season", choice, "\"leaf_on\"", "", "leaf_on | leaf_off",
     "whether broadleaved trees had leaves"},
    plain("imagery.images", "date", date, "", "a TOML date, or any text"),
    crs_of("imagery.images"),
    file_of("imagery.training"),
    layer_of("imagery.training"),
    plain("imagery.training", "where", text, "", "attribute filter in SQL"),
    needed("imagery.training", "group",
           "column with conifer, mixed, broadleaved, grass, shrub, built, water or bare"),
    plain("imagery.training", "block", text, "",
          "column of what is held out together when accuracy is measured, such as a stand; without "
          "it, areas are grouped by place"),
    crs_of("imagery.training"),
    encoding_of("imagery.training"),
    {"imagery.rule", "green", number, "0.25", "", "between -1 and 1",
     "least (near infrared - red) / (near infrared + red) of what is green. A planning default: "
     "bare ground has 0.1 or less, dense green 0.6 or more"},
    {"imagery.rule", "tall_m", number, "2", "m", "0 or more",
     "least height of what is tall. A planning default"},
    plain("imagery.output", "dir", path, "", "output folder; --out replaces it"),

    {"rings", "outer_m", numbers, "[1.5, 10, 30, 100]", "m",
     "rising, above 0, at most 10000; at most 50",
     "outer edge of each ring, measured from the wall"},
    {"rings", "near_m", number, "", "m", "one of outer_m",
     "distance used in headlines and counts; without it, the second of outer_m"},
    {"rings", "weight", numbers, "[0.35, 0.35, 0.20, 0.10]", "", "0 or more",
     "weight of each ring in the exposure, scaled to sum to 1. A planning default, not a standard"},

    {"terrain.factors", "slope_deg", number, required_key, "degrees", "0 or more, below 90",
     "slope of the land"},
    {"terrain.factors", "down", number, "1", "", "1 to 10",
     "downhill, rings reach this many times their distance"},
    {"terrain.factors", "across", number, "1", "", "1 to 10", "the same, across the slope"},

    {"uncertainty", "shift_m", number, "1.0", "m", "above 0, below 100",
     "how far the layers may be misaligned. A planning default"},
    {"uncertainty", "draws", whole, "32", "", "2 to 1000",
     "number of shifts to try; the first is unshifted"},
    {"uncertainty", "first", whole, "", "", "1 to 1000000000",
     "how many top-ranked structures count as first; without it, a tenth of them"},
    {"uncertainty", "first_neighbourhoods", whole, "", "", "1 to 1000000000",
     "the same for neighbourhoods"},

    plain("sensitivity", "confusion", path, "",
          "accuracy matrix of the raster (CSV: map_class, then counts by true class; labels of the "
          "class table)"),
    {"sensitivity", "range_m", number, "30", "m", "above 0, at most 10000",
     "cells of one class within squares of this side err together. A planning default"},
    {"sensitivity", "draws", whole, "32", "", "2 to 1000",
     "number of draws of the confusion. A planning default"},
    {"sensitivity", "resamples", whole, "200", "", "0 to 10000",
     "how often the homes of every neighbourhood are resampled. A planning default"},
    {"sensitivity", "seed", whole, "1", "", "0 to 1000000000", "another seed draws otherwise"},
    {"sensitivity", "first", whole, "", "", "1 to 1000000000",
     "how many top-ranked structures count as first; without it, a tenth of them"},
    {"sensitivity", "first_neighbourhoods", whole, "", "", "1 to 1000000000",
     "the same for neighbourhoods"},
    needed("sensitivity.trials", "name", "name of the trial"),
    {"sensitivity.trials", "weight", numbers, "", "", "0 or more",
     "weights, as rings.weight; without it, those of the run"},
    {"sensitivity.trials", "outer_m", numbers, "", "m",
     "rising, above 0, at most 10000; at most 50",
     "distances, as rings.outer_m; without it, those of the run. Distances of the run take no "
     "time"},
    plain("sensitivity.trials", "classes", path, "",
          "class table with other conifer shares for the same codes"),

    plain("gate", "on", flag, "true", "false turns the checks off"),
    {"gate", "max_change", number, "5", "percentage points", "0 to 100",
     "largest change in a share: of the land around structures, of matched addresses, of "
     "structures in a neighbourhood or on a parcel. A planning default"},
    {"gate", "max_relative_change", number, "50", "%", "0 or more",
     "largest relative change in the share of conifers, the range of heights, or the number of "
     "addresses, neighbourhoods or field checks. A planning default"},
    {"gate", "max_structures_change", number, "10", "%", "0 or more",
     "largest change in the number of structures. A planning default"},
    {"gate", "max_regrouped", number, "20", "% of the structures", "0 or more",
     "most structures that may move to another neighbourhood or owner class. A planning default"},
    {"gate", "min_height_correlation", number, "0.9", "", "0 to 1",
     "lowest correlation of heights at the structures with those in the last run. A planning "
     "default"},

    needed("output", "dir", "output folder; each run replaces all of it", path),
    plain("output", "csv_bom", flag, "true",
          "begin CSV files with a byte order mark, so that spreadsheets show accents correctly"),
    plain("output", "ring_outlines", flag, "false",
          "add the outline of every ring to fuelring.gpkg"),
    {"output", "copies", texts, "[]", "", "flatgeobuf, geoparquet",
     "formats in which every layer of fuelring.gpkg is written once more; GDAL must have the "
     "driver, which that of Debian 12 has for flatgeobuf only"},
    plain("output", "stac_item", flag, "false",
          "describe both rasters in stac_item.json, for a catalogue; needs the day in "
          "inputs.fuel.date"),
    {"output", "rank_by", choice, "\"exposure\"", "", "exposure | exposure_x_susceptibility",
     "what to rank by; the second needs inputs.structures.attributes"},
    {"output", "history_runs", whole, "60", "", "1 to 10000", "number of runs kept in history.csv"},

    {"run", "jobs", whole, "0", "", "0 to 1024",
     "number of worker threads; 0 means one per core, within the CPU quota"},
    {"run", "tile_cells", whole, "512", "cells", "64 to 8192", "edge length of a work tile"},
    {"run", "memory_mb", whole, "", "MB", "64 to 16777216", "memory limit"},
    {"run", "minutes", number, "", "min", "above 0, at most 100000",
     "time limit; a command that takes longer stops with exit code 7"},
    {"run", "also", texts, "[]", "", "treat, report",
     "commands that every map also runs, published with it"},
    plain("run", "classify", flag, "false",
          "before every map, run classify if imagery or training changed; inputs.fuel.path is then "
          "a raster in imagery.output.dir"),
    plain("run", "remote_inputs", flag, "false", "allow VRT files, databases and URLs as inputs"),

    plain("report", "currency", text, "",
          "what goes with amounts of money, such as CAD or $; at most 8 characters"),
    plain("report", "contact", text, "",
          "whom to ask, printed on every sheet, such as: Questions? Fire hall, 250-555-0142"),
    plain("report", "visit", text, "",
          "what the town offers, printed on every sheet, such as: Free visit until June 30"),
    plain("report", "backdrop", path, "",
          "aerial photograph or other picture under the maps for the office: a local raster that "
          "GDAL "
          "can read, with 8-bit bands; needs credit"),
    plain("report", "credit", text, "",
          "whose backdrop it is; printed with every map that shows it"),
    plain("report", "logo", path, "", "PNG file with the town's mark, printed on every sheet"),

    needed("report.context", "path", "a local vector file of lines or polygons", path),
    layer_of("report.context"),
    where_of("report.context"),
    crs_of("report.context"),
    {"report.context", "kind", choice, "\"streets\"", "", "streets | paths | railway | water",
     "what it holds; decides how it is drawn"},
    plain("report.context", "credit", text, "",
          "whose it is, if its licence asks; printed with every map that shows it"),

    {"appraise", "thresholds", numbers, "[0.1, 0.5, 1, 2, 5]", "points", "1 to 20, above 0, rising",
     "by how many points of exposure a home must improve to be counted. A planning default"},
    {"appraise", "budget", number, "", "money", "above 0",
     "money to spend: also say which of the drawn projects remove most exposure for it; each needs "
     "a cost"},

    {"treat", "smallest_m2", number, "10", "m2", "0 or more",
     "least area of conifers in a unit. A planning default"},
    {"treat", "gap_m", number, "5", "m", "0 to 100",
     "widest open gap that a unit may bridge. A planning default"},
    {"treat", "max_unit_m2", number, "10000", "m2", "at least four times smallest_m2",
     "most conifers in one unit; larger units are split into pieces. A planning default"},
    {"treat", "fixed_cost_per_unit", number, "0", "money", "0 or more",
     "fixed cost of every unit and every piece, on top of its hectares; only with a money budget"},
    {"treat", "residual_share", number, "0", "", "0 or more, below 1",
     "share of the conifers left standing: 0 clears, 0.3 thins"},
    {"treat", "shape", choice, "\"patch\"", "", "patch | strip | parcel",
     "form of a treatment unit: a patch of cells, a strip along a line of treat.strips, or all "
     "that "
     "can be treated of a parcel"},
    {"treat", "regrowth_per_year", number, "0", "", "0 or more, below 1",
     "share of what treatment removed that is back after a year; needs treat.years"},
    {"treat", "upkeep_per_ha", number, "0", "money / ha", "0 or more",
     "cost of keeping up a hectare of treated conifers, in each year after its treatment; needs "
     "treat.years"},
    {"treat.budget", "money", number, "", "money", "above 0", "money to spend; needs treat.costs"},
    {"treat.budget", "hectares", number, "", "ha", "above 0", "hectares of conifers to clear"},
    plain("treat.costs", "owner", text, "\"*\"",
          "owner class; * stands for all classes without a row of their own"),
    {"treat.costs", "method", choice, "\"hand\"", "", "hand | machine | cable",
     "how land of this owner class is treated"},
    {"treat.costs", "per_ha", number, required_key, "money / ha", "above 0",
     "cost per hectare of conifers"},
    {"treat.costs", "max_slope_percent", number, "", "%", "above 0",
     "steepest slope that this method is used on; needs inputs.elevation. Local codes and licensed "
     "people have the last word on steep land"},
    {"treat.costs", "max_road_m", number, "", "m", "above 0",
     "farthest from a road that this method is used; needs inputs.roads"},
    file_of("treat.keep_out"),
    layer_of("treat.keep_out"),
    where_of("treat.keep_out"),
    crs_of("treat.keep_out"),
    {"treat.keep_out", "by", choice, "\"touch\"", "", "touch | cover",
     "touch: a cell that it touches stays whole; cover: of a cell the part inside stays (polygons "
     "only)"},
    file_of("treat.barriers"),
    layer_of("treat.barriers"),
    where_of("treat.barriers"),
    crs_of("treat.barriers"),
    plain("treat.declined", "owners", texts, "[]",
          "owner classes that decline, or values of the owner column"),
    plain("treat.declined", "parcels", texts, "[]", "ids of parcels whose owners decline"),
    plain("treat.declined", "id", text, "",
          "column of inputs.parcels with those ids; needed for parcels"),
    file_of("treat.required"),
    layer_of("treat.required"),
    where_of("treat.required"),
    crs_of("treat.required"),
    needed("treat.thinning", "owner", "owner class, or no_parcel for land outside parcels"),
    {"treat.thinning", "residual_share", number, "0", "", "0 or more, below 1",
     "share of a cell's conifers that stays there"},
    plain("treat.limits", "neighbourhood", text, "", "of the land; without it, all of them"),
    plain("treat.limits", "owner", text, "",
          "owner class of the land, or no_parcel; without it, all of them"),
    {"treat.limits", "of", choice, "\"points\"", "", "points | hectares | money",
     "what is limited: points of exposure removed, hectares of conifers treated, or money spent"},
    {"treat.limits", "at_least", number, "", "", "0 or more", "floor, in that unit"},
    {"treat.limits", "at_most", number, "", "", "0 or more", "cap, in that unit"},
    file_of("treat.strips"),
    layer_of("treat.strips"),
    where_of("treat.strips"),
    crs_of("treat.strips"),
    {"treat.strips", "width_m", number, "10", "m", "above 0",
     "width of a strip, its line in the middle (planning default)"},
    {"treat.strips", "least_length_m", number, "30", "m", "above 0",
     "length of a unit along its line, at least (planning default)"},
    {"treat.years", "year", whole, required_key, "", "1900 to 2200", "the year"},
    {"treat.years", "budget", number, required_key, "", "0 or more",
     "what may be spent in it, in the unit of treat.budget"},
});

} // namespace

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
    for (const ConfigSection& section : config_sections()) {
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
    case columns:
        return "text, or list of texts";
    case paths:
        return "path, pattern, or list of these";
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
