// SPDX-License-Identifier: Apache-2.0

// What a run is made of, which can be written before anything is measured. `treat` and the next run
// compare parts of it to tell whether a folder still serves.
#include "base/program/digest.hpp"
#include "base/program/json_values.hpp"
#include "io/run_folder/run_folder.hpp"
#include "run/inputs/systems.hpp"
#include "run/manifest/manifest.hpp"
#include "run/stages/slopes.hpp"

#include <utility>

namespace fuelring {

NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(StretchRow, slope_deg, down, across)

namespace {

nlohmann::json notes_of(const Inputs& inputs)
{
    nlohmann::json notes = nlohmann::json::array();
    for (const LayerCrs& layer : inputs.layers)
        notes.push_back(layer.note);
    return notes;
}

nlohmann::json inputs_of(const Inputs& inputs, const nlohmann::json& digests)
{
    // Digests and operations of one layer go under one key, wherever they were found out.
    nlohmann::json files = digests;
    if (files.contains("inputs.fuel.path"))
        files["inputs.fuel.path"]["description"] = inputs.raster->description();
    if (files.contains("inputs.fuel.path") && files["inputs.fuel.path"].contains("tiles"))
        files["inputs.fuel.path"]["path"] = inputs.raster->source().path;
    if (inputs.elevation && files["inputs.elevation.path"].contains("tiles"))
        files["inputs.elevation.path"]["path"] = inputs.elevation->path();
    for (const LayerCrs& layer : inputs.layers)
        put_operation(files[layer.key + ".path"], layer.operation);
    return files;
}

nlohmann::json crs_of(const Inputs& inputs)
{
    const AnalysisPlan& plan = inputs.raster->plan();
    nlohmann::json to_wgs84;
    put_operation(to_wgs84, inputs.to_wgs84);
    return {{"analysis", plan.analysis.crs.name()},
            {"wkt", plan.analysis.crs.wkt()},
            {"raster", plan.source.crs.name()},
            {"rule", name_of(plan.rule)},
            {"scale_by_place", plan.analysis.ground.varies()},
            {"decision", plan.decision},
            {"scale_smallest", plan.source_scale.smallest},
            {"scale_largest", plan.source_scale.largest},
            {"areal_scale_smallest", plan.source_scale.smallest_areal},
            {"areal_scale_largest", plan.source_scale.largest_areal},
            {"area_deg", or_null(plan.analysis.area)},
            {"to_wgs84", to_wgs84},
            {"layers", notes_of(inputs)}};
}

/// What of each input counts, where the configuration can choose.
nlohmann::json filters_of(const InputSettings& sources)
{
    nlohmann::json filters = {
        {"inputs.structures",
         {{"where", sources.structures.where}, {"min_area_m2", sources.structures.min_area_m2}}},
        {"inputs.fuel",
         {{"band", sources.fuel.band},
          {"unknown_codes_are_unmapped", sources.fuel.unknown_codes_are_unmapped}}}};
    // Only where it is not the default: runs of earlier versions compare as they are.
    if (sources.fuel.holds_shares())
        filters["inputs.fuel"]["values"] =
            sources.fuel.values == FuelValues::percent ? "percent" : "fraction";
    if (sources.fuel.is_layer())
        filters["inputs.fuel"]["polygons"] = {{"layer", sources.fuel.layer},
                                              {"where", sources.fuel.where},
                                              {"column", sources.fuel.column},
                                              {"cell_m", sources.fuel.cell_m}};
    if (sources.addresses) {
        filters["inputs.addresses"] = {{"join_within_m", sources.addresses->join_within_m}};
        if (!sources.addresses->where.empty())
            filters["inputs.addresses"]["where"] = sources.addresses->where;
    }
    if (sources.neighbourhoods && !sources.neighbourhoods->where.empty())
        filters["inputs.neighbourhoods"] = {{"where", sources.neighbourhoods->where}};
    if (sources.parcels)
        filters["inputs.parcels"] = {{"where", sources.parcels->where}};
    if (sources.corrections && !sources.corrections->where.empty())
        filters["inputs.corrections"] = {{"where", sources.corrections->where}};
    if (const auto& area = sources.structures.area)
        filters["community.area"] = area->box
                                        ? nlohmann::json{{"box", *area->box}, {"crs", area->crs}}
                                        : nlohmann::json{{"where", area->where}};
    return filters;
}

nlohmann::json context_json(const ContextSource& layer)
{
    nlohmann::json json{{"path", layer.path}, {"kind", layer.kind}};
    for (const auto& [key, value] :
         {std::pair{"layer", layer.layer}, std::pair{"where", layer.where},
          std::pair{"crs", layer.crs}, std::pair{"credit", layer.credit}})
        if (!value.empty())
            json[key] = value;
    return json;
}

nlohmann::json configuration_of(const Config& config)
{
    nlohmann::json json = {{"file", config.file.string()},
                           {"sha256", digest_of_bytes(config.text).sha256},
                           {"sha256_of_map", digest_of_bytes(config.text_of_map).sha256},
                           {"rings",
                            {{"outer_m", config.rings.outer_m},
                             {"weight", config.rings.weight},
                             {"near_m", config.near.m}}},
                           {"tile_cells", config.run.tile_cells},
                           {"filters", filters_of(config.inputs)},
                           {"rank_by", name_of(config.output.rank_by)},
                           {"csv_bom", config.output.csv_bom},
                           {"ring_outlines", config.output.ring_outlines}};
    if (!config.output.copies.empty())
        json["copies"] = config.output.copies;
    if (config.output.stac_item)
        json["stac_item"] = true;
    const ReportSettings& report = config.report;
    for (const auto& [key, value] :
         {std::pair{"currency", report.currency}, std::pair{"contact", report.contact},
          std::pair{"visit", report.visit}, std::pair{"logo", report.logo},
          std::pair{"backdrop", report.backdrop}, std::pair{"credit", report.credit}})
        if (!value.empty())
            json["report"][key] = value;
    for (const ContextSource& layer : report.context)
        json["report"]["context"].push_back(context_json(layer));
    if (config.inputs.elevation)
        json["terrain"] = {{"factors", config.stretch.rows}};
    if (config.uncertainty)
        json["uncertainty"] = {{"shift_m", config.uncertainty->shift_m},
                               {"draws", config.uncertainty->draws}};
    return json;
}

} // namespace

nlohmann::json basis_of(const Config& config, const Inputs& inputs, const nlohmann::json& digests)
{
    nlohmann::json basis = {{"schema_version", schema_version},
                            {"kind", "map"},
                            {"program", program_versions()},
                            {"community", config.community_name},
                            {"caution", caution},
                            {"imagery_date", config.inputs.fuel.date},
                            {"configuration", configuration_of(config)},
                            {"environment", inputs.environment},
                            {"inputs", inputs_of(inputs, digests)},
                            {"crs", crs_of(inputs)}};
    if (inputs.field_checks)
        basis["corrections"] = field_checks_json(
            *inputs.field_checks, value_at(digests, "/inputs.corrections.path/sha256"));
    if (inputs.elevation)
        basis["elevation"] = slopes_json(inputs);
    return basis;
}

} // namespace fuelring
