// SPDX-License-Identifier: Apache-2.0

// What a classification says of itself. Sentences of the note are read by people who did not make
// the raster: what it is made of, how good it is on land it has not seen, what it cannot know.
#include "run/classify/words/class_note.hpp"

#include "base/caution.hpp"
#include "base/program/digest.hpp"
#include "run/classify/words/class_warnings.hpp"
#include "run/manifest/manifest.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <optional>
#include <string>

namespace fuelring {

namespace {

using nlohmann::json;

std::string percent(std::optional<double> share)
{
    return share ? fmt::format("{:.0f}%", *share * 100) : std::string{"not known"};
}

bool has_near(const ClassTotals& totals)
{
    return totals.near.known_cells + totals.near_unknown_cells > 0;
}

/// Of land that is not empty.
std::string share_in_shadow(const LandTotals& land)
{
    return fmt::format("{:.1f}%", 100 * static_cast<double>(land.shadow_cells) /
                                      static_cast<double>(land.known_cells));
}

std::string sentence_of_shadow(const ClassificationParts& parts)
{
    if (!parts.model.shadow.can_tell())
        return "Shadows were not looked for: that takes an image with near infrared and a visible "
               "band.";
    const ClassTotals& totals = parts.totals;
    std::string text = share_in_shadow(totals.all) + " of the land";
    if (totals.near.known_cells > 0)
        text += fmt::format(", and {} of that within {:g} m of structures,",
                            share_in_shadow(totals.near), parts.config.near.m);
    return text + " is dark in visible light and near infrared: shadow, or water. What grows there "
                  "is told from little light (band 2 of fuel.tif, 200 and more).";
}

/// Where conifers near structures were counted: how many hectares, and how sure that is.
std::string sentence_of_near(const ClassificationParts& parts)
{
    const ConiferCells conifers = conifer_cells(parts.totals.near.told, parts.model.fold_errors);
    std::string text = fmt::format("Within {:g} m of structures conifers cover {:.2f} ha",
                                   parts.config.near.m, conifers.estimate * parts.cell_ha);
    if (conifers.interval_95)
        text += fmt::format(" ({:.2f} to {:.2f}, 95%, by redrawing the blocks that were held out)",
                            conifers.interval_95->low * parts.cell_ha,
                            conifers.interval_95->high * parts.cell_ha);
    else
        text += fmt::format(" (with fewer than {} blocks nobody can say how sure that is)",
                            least_folds_of_interval);
    return text + fmt::format("; {:.2f} ha in the raster, where shares below {} are written as 0.",
                              parts.totals.near.share_sum * parts.cell_ha, least_written_share);
}

json note_of_rule(const ClassificationParts& parts)
{
    const WinterRule& rule = *parts.model.rule;
    json note = json::array();
    note.push_back(method_of(parts.model));
    note.push_back(fmt::format(
        "Green is (near infrared - red) / (near infrared + red) of {} or more, as a mean over 3 m. "
        "{} and {} m are planning defaults unless imagery.rule sets others: look at places that "
        "you know before you rely on them.",
        rule.green, rule.green, rule.tall_m));
    note.push_back(sentence_of_shadow(parts));
    note.push_back("Evergreen broadleaved trees count as conifers; larches, dead trees, young "
                   "trees and hedges below that height do not. A first look: add training areas "
                   "for a raster whose accuracy is measured.");
    note.push_back(caution);
    return note;
}

std::int64_t areas_learned_from(const ClassModel& model)
{
    return std::ranges::count_if(model.areas,
                                 [](const auto& a) { return a.use != TrainingArea::Use::control; });
}

std::string sentence_of_visits(const VisitTest& visits)
{
    std::string text = fmt::format("{} visited places were learned from, {} kept apart to measure",
                                   visits.learned, visits.controls);
    if (visits.controls > 0)
        text +=
            fmt::format(": there it is right in {} of the cells", percent(visits.with.accuracy));
    if (visits.without)
        text += fmt::format(", and in {} without what the visits taught",
                            percent(visits.without->accuracy));
    return text + ".";
}

json note_of(const ClassificationParts& parts)
{
    if (parts.model.rule)
        return note_of_rule(parts);
    const Judgement& j = parts.model.by_block;
    json note = json::array();
    note.push_back(fmt::format(
        "Made from {} image{} by boosted trees that learned {} training cells in {} areas; {} "
        "features of each cell and its surroundings.",
        parts.images.size(), parts.images.size() == 1 ? "" : "s", parts.model.cells,
        areas_learned_from(parts.model), parts.plan.count()));
    note.push_back(fmt::format(
        "On land held out block by block it tells conifers from the rest with {} balanced accuracy "
        "by cell and {} by area. Holding out single cells would have claimed {}.",
        percent(j.cells.balanced_accuracy), percent(j.areas.balanced_accuracy),
        percent(parts.model.by_cell.cells.balanced_accuracy)));
    note.push_back(
        fmt::format("Held-out share of conifers {:.3f} where {:.3f} is true (within {:.3f}, 95%).",
                    j.cells.mean_share, j.cells.mean_truth, parts.model.share_half_width));
    if (has_near(parts.totals))
        note.push_back(sentence_of_near(parts));
    if (parts.model.visits)
        note.push_back(sentence_of_visits(*parts.model.visits));
    if (parts.model.only_trees && parts.plan.has_height())
        note.push_back(
            fmt::format("Only trees were trained: cells lower than {} m are taken as low "
                        "plants or ground, without conifers.",
                        least_tree_m));
    note.push_back(sentence_of_shadow(parts));
    note.push_back("It cannot tell evergreen broadleaved trees reliably from conifers, nor dead "
                   "trees, nor hedges narrower than a cell. Check it where it is unsure: band 2 of "
                   "fuel.tif.");
    note.push_back(caution);
    return note;
}

json test_json(const ConiferTest& test)
{
    const auto number = [](std::optional<double> v) { return v ? json(*v) : json(); };
    return {{"count", test.count},
            {"accuracy", test.accuracy},
            {"balanced_accuracy", number(test.balanced_accuracy)},
            {"area_under_curve", number(test.area_under_curve)},
            {"mean_share", test.mean_share},
            {"mean_truth", test.mean_truth}};
}

json images_json(const std::vector<ImageRaster>& images)
{
    json list = json::array();
    for (const ImageRaster& image : images) {
        json roles = json::array();
        for (const BandRole role : image.source().bands.roles)
            roles.push_back(name_of(role));
        list.push_back(
            {{"path", image.source().files.path},
             {"description", image.description()},
             {"crs", image.grid().crs.name()},
             {"roles", roles},
             {"season", image.source().bands.season == Season::leaf_off ? "leaf_off" : "leaf_on"},
             {"date", image.source().date}});
    }
    return list;
}

json land_json(const ClassificationParts& parts, const LandTotals& land)
{
    const auto ha = [&](double cells) { return cells * parts.cell_ha; };
    json result{{"known_ha", ha(static_cast<double>(land.known_cells))},
                {"conifer_ha", ha(land.share_sum)},
                {"shadow_ha", parts.model.shadow.can_tell()
                                  ? json(ha(static_cast<double>(land.shadow_cells)))
                                  : json()}};
    if (parts.model.rule)
        return result;
    const ConiferCells conifers = conifer_cells(land.told, parts.model.fold_errors);
    result["estimate_ha"] = ha(conifers.estimate);
    result["low_95_ha"] = conifers.interval_95 ? json(ha(conifers.interval_95->low)) : json();
    result["high_95_ha"] = conifers.interval_95 ? json(ha(conifers.interval_95->high)) : json();
    return result;
}

void add_learned(const ClassificationParts& parts, json& manifest)
{
    const ClassModel& model = parts.model;
    json groups = json::object();
    for (const auto& [group, count] : areas_by_group(model))
        groups[std::string{name_of(group)}] = count;
    manifest["training"] = {{"areas", areas_learned_from(model)},
                            {"cells", model.cells},
                            {"areas_of_group", groups},
                            {"folds", model.folds}};
    manifest["features"] = parts.plan.names();
    manifest["calibration"] = {{"of_share", model.calibration.of_share()},
                               {"of_rest", model.calibration.of_rest()},
                               {"offset", model.calibration.offset()}};
    manifest["accuracy"] = {{"cells", test_json(model.by_block.cells)},
                            {"areas", test_json(model.by_block.areas)},
                            {"by_cell", test_json(model.by_cell.cells)}};
}

} // namespace

json classification_json(const ClassificationParts& parts)
{
    json manifest{{"schema_version", schema_version},
                  {"kind", "classify"},
                  {"program", program_versions()},
                  {"community", parts.config.community_name},
                  {"configuration",
                   {{"path", parts.config.file.string()},
                    {"sha256", digest_of_bytes(parts.config.text).sha256}}},
                  {"images", images_json(parts.images)},
                  {"caution", caution}};
    const Grid& grid = parts.grid.analysis.grid;
    manifest["grid"] = {{"crs", parts.grid.analysis.crs.name()},
                        {"geotransform", grid.geotransform()},
                        {"cols", grid.cols()},
                        {"rows", grid.rows()},
                        {"cell_m", parts.grid.cell_m}};
    manifest["method"] = parts.model.rule ? "rule" : "learned";
    if (parts.model.rule)
        manifest["rule"] = {{"green", parts.model.rule->green},
                            {"tall_m", parts.model.rule->tall_m}};
    else
        add_learned(parts, manifest);
    json cells = json::object();
    for (const auto& [code, count] : parts.totals.cells_of_code)
        cells[std::to_string(code)] = count;
    manifest["cells_of_code"] = cells;
    manifest["conifer_ha"] = parts.totals.all.share_sum * parts.cell_ha;
    manifest["land"] = land_json(parts, parts.totals.all);
    if (has_near(parts.totals)) {
        json& near = manifest["near_structures"] = land_json(parts, parts.totals.near);
        near["within_m"] = parts.config.near.m;
        near["unknown_ha"] = static_cast<double>(parts.totals.near_unknown_cells) * parts.cell_ha;
    }
    manifest["note"] = note_of(parts);
    manifest["warnings"] = warnings_of(parts);
    return manifest;
}

} // namespace fuelring
