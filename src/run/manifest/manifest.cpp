// SPDX-License-Identifier: Apache-2.0

// run.json is made in two steps. Its basis says what a run is made of and can be written before
// anything is measured; `treat` and the next run compare parts of it to tell whether a folder
// still serves. The rest are counts and sums over results, taken in the order of structures: a sum
// has the same last digit however many workers there were. A figure that is not known is null,
// never 0. A key that goes away or means something else raises `schema_version`.
#include "run/manifest/manifest.hpp"

#include "base/program/digest.hpp"
#include "base/program/json_values.hpp"
#include "io/run_folder/run_folder.hpp"
#include "raster/share_classes.hpp"
#include "run/inputs/systems.hpp"
#include "run/stages/slopes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace fuelring {

NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(StretchRow, slope_deg, down, across)

namespace {

/// Null where there are no parcels.
nlohmann::json owner_splits_of(const ManifestParts& parts)
{
    const auto& owners = parts.inputs.community.owners;
    if (!owners)
        return {};
    const auto count = [&](auto test) {
        return std::count_if(parts.results.begin(), parts.results.end(),
                             [&](const StructureResult& r) { return test(*r.measure->owners); });
    };
    return {
        {"parcels", owners->parcels},
        {"classes", owners->classes},
        {"structures_on_a_parcel", count([](const OwnerSplit& s) { return s.own.has_value(); })},
        {"nudged", count([](const OwnerSplit& s) { return s.nudged; })},
        {"open", count([](const OwnerSplit& s) { return s.open; })},
        {"union_regions_nudged", parts.union_counts.owners_nudged},
        {"union_regions_open", parts.union_counts.owners_open}};
}

std::string known_key(double near_m)
{
    return fmt::format("structures_known_within_{:g}m", near_m);
}

std::string conifer_key(double near_m)
{
    return fmt::format("structures_conifer_within_{:g}m", near_m);
}

nlohmann::json counts_of(const ManifestParts& parts)
{
    const auto count = [&](auto test) {
        return std::count_if(parts.results.begin(), parts.results.end(), test);
    };
    nlohmann::json flags = nlohmann::json::object();
    for (int k = 0; k < flag_count; ++k) {
        const Flag flag{static_cast<std::uint8_t>(k)};
        flags[std::string{name_of(flag)}] =
            count([flag](const StructureResult& r) { return r.has(flag); });
    }
    const auto found_by = [&](OutlineMethod method) {
        return count([method](const StructureResult& r) { return r.measure->method == method; });
    };
    // The table has counted measured and near structures; to count again could differ from it.
    const NeighbourhoodRow& community = parts.neighbourhoods.back();
    return {{"structures", parts.results.size()},
            {"addresses", parts.inputs.community.addresses.size()},
            {"address_rows", parts.address_rows},
            {"structures_measured", community.structures_measured},
            {known_key(parts.near_m), community.structures_known_near},
            {conifer_key(parts.near_m), community.structures_near},
            {"flags", flags},
            {"outlines",
             {{"exact", found_by(OutlineMethod::exact)},
              {"nudged", found_by(OutlineMethod::nudged)},
              {"capsules", found_by(OutlineMethod::capsules)}}},
            {"owner_splits", owner_splits_of(parts)},
            {"neighbourhoods", parts.inputs.community.neighbourhoods.size()},
            {"union_regions",
             {{"exact", parts.union_counts.exact},
              {"nudged", parts.union_counts.nudged},
              {"capsules", parts.union_counts.capsules}}},
            {"cells_reached", parts.surface.cells},
            {"cells_reached_unmapped", parts.surface.unmapped},
            {"text_cells_neutralised", parts.neutralised_cells}};
}

nlohmann::json totals_of(const ManifestParts& parts)
{
    double exposure = 0;
    std::size_t with_exposure = 0;
    for (const StructureResult& r : parts.results)
        if (r.exposure) {
            exposure += *r.exposure;
            ++with_exposure;
        }
    return {{"sum_exposure_points", exposure},
            {"sum_surface_points", parts.surface.points},
            {"mean_exposure", with_exposure
                                  ? nlohmann::json(exposure / static_cast<double>(with_exposure))
                                  : nlohmann::json()}};
}

nlohmann::json neighbourhoods_of(const ManifestParts& parts)
{
    nlohmann::json rows = nlohmann::json::array();
    for (const NeighbourhoodRow& row : parts.neighbourhoods) {
        nlohmann::json hectares = nlohmann::json::array();
        for (const auto& ha : row.conifer_ha_within)
            hectares.push_back(or_null(ha));
        rows.push_back({{"neighbourhood", row.name},
                        {"rank", or_null(row.rank)},
                        {"structures", row.structures},
                        {"structures_measured", row.structures_measured},
                        {known_key(parts.near_m), row.structures_known_near},
                        {conifer_key(parts.near_m), row.structures_near},
                        {"mean_exposure", or_null(row.mean_exposure)},
                        {"conifer_ha_within", hectares}});
    }
    return rows;
}

nlohmann::json class_json(nlohmann::json code, const FuelClass& fuel, std::int64_t cells)
{
    return {{"code", std::move(code)},
            {"label", fuel.label},
            {"group", name_of(fuel.group)},
            {"conifer_share", static_cast<double>(fuel.conifer_share) / whole_share},
            {"cells_reached", cells}};
}

/// Shares have no codes, and too many values for a list: they are told in bands.
nlohmann::json shares_of(const ManifestParts& parts)
{
    nlohmann::json rows = nlohmann::json::array();
    ShareBands bands;
    const auto& classes = parts.inputs.classes.rows();
    for (std::size_t i = 0; i < classes.size(); ++i)
        if (const std::int64_t cells = parts.surface.cells_of_class[i]; cells > 0) {
            if (classes[i].group == FuelGroup::share)
                bands.add(classes[i].conifer_share, cells);
            else
                rows.push_back(class_json(nullptr, classes[i], cells));
        }
    for (std::size_t band = 0; band < share_bands; ++band)
        if (bands.cells[band] > 0)
            rows.push_back({{"code", nullptr},
                            {"label", share_band_label(band)},
                            {"group", name_of(FuelGroup::share)},
                            {"conifer_share", bands.mean(band)},
                            {"cells_reached", bands.cells[band]}});
    return rows;
}

nlohmann::json classes_of(const ManifestParts& parts)
{
    if (parts.inputs.raster->source().holds_shares())
        return shares_of(parts);
    nlohmann::json rows = nlohmann::json::array();
    const auto& classes = parts.inputs.classes.rows();
    for (std::size_t i = 0; i < classes.size(); ++i)
        // Classes that no ring meets say nothing about this community. One that no code of a
        // raster means, such as what a visit found, has no code to say.
        if (const std::int64_t cells = parts.surface.cells_of_class[i]; cells > 0)
            rows.push_back(class_json(parts.inputs.classes.is_listed(static_cast<ClassIndex>(i))
                                          ? nlohmann::json(classes[i].code)
                                          : nlohmann::json(),
                                      classes[i], cells));
    return rows;
}

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

nlohmann::json uncertainty_of(const UncertaintyPlan& plan, const RegistrationDraws& draws)
{
    return {{"shift_m", plan.shift_m},
            {"draws", plan.draws},
            {"first_structures", draws.first_structures},
            {"first_neighbourhoods", draws.first_neighbourhoods},
            {"structures_without_exposure_in_some_draws", draws.unmapped_in_some},
            {"structures_outside_draws", draws.outside},
            {"caution", "Percentiles and shares say how far figures move when footprints and "
                        "raster are off against each other by up to shift_m, and nothing else: "
                        "not how well the raster tells conifers. They are not a probability "
                        "of ignition."}};
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

nlohmann::json sensitivity_json(const SensitivityPlan& plan, const SensitivityFindings& findings)
{
    nlohmann::json trials = nlohmann::json::array();
    for (const SensitivityTrial& trial : plan.trials)
        trials.push_back({{"name", trial.name},
                          {"outer_m", trial.rings.outer_m},
                          {"weight", trial.rings.weight},
                          {"classes", trial.classes}});
    nlohmann::json rows = nlohmann::json::array();
    for (const NeighbourhoodSensitivity& n : findings.neighbourhoods)
        rows.push_back({{"neighbourhood", n.name},
                        {"rank", n.rank},
                        {"rank_best", or_null(n.range.best)},
                        {"rank_worst", or_null(n.range.worst)},
                        {"in_first_share", or_null(n.range.in_first)},
                        {"above_next_share", or_null(n.above_next)},
                        {"toss_up", n.group + 1}});
    return {{"stated_trials", trials},
            {"confusion", plan.confusion},
            {"range_m", plan.range_m},
            {"draws", plan.confusion.empty() ? 0 : plan.draws},
            {"resamples", plan.resamples},
            {"seed", plan.seed},
            {"trials", findings.trials},
            {"neighbourhood_trials", findings.neighbourhood_trials},
            {"first_structures", findings.first_structures},
            {"first_neighbourhoods", findings.first_neighbourhoods},
            {"neighbourhoods", rows},
            {"caution", "Ranges say how far ranks move under the choices that were tried, and "
                        "nothing else. They are not a probability of ignition."}};
}

nlohmann::json manifest_of(const ManifestParts& parts)
{
    nlohmann::json manifest = parts.basis;
    manifest.update({{"counts", counts_of(parts)},
                     {"totals", totals_of(parts)},
                     {"neighbourhoods", neighbourhoods_of(parts)},
                     {"fuel_classes", classes_of(parts)},
                     {"warnings", parts.inputs.warnings},
                     {"changes", parts.changes},
                     {"gate", parts.gate},
                     {"timings", timings_of(parts.stages, parts.work, parts.memory.jobs)}});
    manifest["timings"]["planned_memory_mb"] = std::round(parts.memory.bytes / 1e6);
    manifest["timings"]["limits"] = limits_json(parts.memory);
    manifest.update(parts.source);
    if (parts.draws)
        manifest["uncertainty"] = uncertainty_of(*parts.uncertainty, *parts.draws);
    return manifest;
}

nlohmann::json summary_of(const nlohmann::json& manifest, const std::filesystem::path& out)
{
    nlohmann::json summary = {{"out", out.string()}};
    for (const char* key : {"schema_version", "program", "community", "caution", "imagery_date",
                            "counts", "totals", "warnings", "timings", "reuse"})
        summary[key] = manifest.at(key);
    for (const char* added : {"treatment", "report"})
        if (manifest.contains(added))
            summary[added] = manifest.at(added);
    if (manifest.contains("gate")) // not in runs of earlier versions
        (summary["gate"] = manifest.at("gate")).erase("seen");
    return summary;
}

} // namespace fuelring
