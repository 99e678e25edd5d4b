// SPDX-License-Identifier: Apache-2.0

// run.json is made in two steps: its basis (manifest_basis.cpp), and counts and sums over results,
// taken in the order of structures: a sum has the same last digit however many workers there were.
// A figure that is not known is null, never 0. A key that goes away or means something else raises
// `schema_version`.
#include "run/manifest/manifest.hpp"

#include "base/program/json_values.hpp"
#include "io/run_folder/run_folder.hpp"
#include "raster/share_classes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace fuelring {

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
