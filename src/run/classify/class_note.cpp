// SPDX-License-Identifier: Apache-2.0

// What a classification says of itself. Sentences of the note are read by people who did not make
// the raster: what it is made of, how good it is on land it has not seen, what it cannot know.
#include "run/classify/class_note.hpp"

#include "base/caution.hpp"
#include "base/program/digest.hpp"
#include "run/manifest/manifest.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <set>

namespace fuelring {

namespace {

using nlohmann::json;

constexpr std::int64_t few_areas = 10; ///< of a group; planning default
constexpr double much_outside = 0.2;   ///< share of the cells beyond what was trained
constexpr double one_corner = 0.1;     ///< of what is classified, by the box of training

std::map<FuelGroup, std::int64_t> areas_by_group(const ClassModel& model)
{
    std::map<FuelGroup, std::int64_t> counts;
    for (const TrainingArea& area : model.areas)
        if (area.cells > 0 && area.use != TrainingArea::Use::control)
            ++counts[area.group];
    return counts;
}

void warn(json& warnings, const char* key, std::int64_t count, const std::string& text)
{
    warnings.push_back({{"key", key}, {"count", count}, {"text", text}});
}

void warn_of_rule(json& warnings)
{
    warn(warnings, "by_rule", 1,
         "made by a rule, without training: how good it is, nobody has measured; add "
         "[imagery.training] with places that you know");
}

void warn_of_training(const ClassificationParts& parts, json& warnings)
{
    for (const auto& [group, count] : areas_by_group(parts.model))
        if (count < few_areas)
            warn(warnings, "few_training_areas", count,
                 fmt::format("only {} training area{} of {}: its accuracy is a guess; {} or more "
                             "make it a measurement",
                             count, count == 1 ? "" : "s", name_of(group), few_areas));
    const auto unseen =
        std::ranges::count_if(parts.model.areas, [](const auto& a) { return a.cells == 0; });
    if (unseen > 0)
        warn(warnings, "training_not_seen", unseen,
             fmt::format("{} of {} training areas were not used: the images do not show them, or "
                         "nothing there is as high as a tree",
                         unseen, parts.model.areas.size()));
    double left = 1e18, right = -1e18, top = 1e18, bottom = -1e18;
    for (const TrainingArea& area : parts.model.areas) {
        left = std::min(left, area.col);
        right = std::max(right, area.col);
        top = std::min(top, area.row);
        bottom = std::max(bottom, area.row);
    }
    const Grid& grid = parts.grid.analysis.grid;
    if ((right - left) * (bottom - top) <
        one_corner * static_cast<double>(grid.cols()) * static_cast<double>(grid.rows()))
        warn(warnings, "training_in_one_corner", 1,
             "all training areas lie in a small part of what was classified: elsewhere, accuracy "
             "may be lower than measured");
}

void warn_of_range(const ClassificationParts& parts, json& warnings)
{
    std::vector<std::string> names;
    double most = 0;
    for (std::size_t k = 0; k < parts.totals.outside.size(); ++k) {
        const double share = static_cast<double>(parts.totals.outside[k]) /
                             static_cast<double>(parts.totals.known_cells);
        most = std::max(most, share);
        if (share > much_outside)
            names.push_back(parts.plan.names()[k]);
    }
    if (!names.empty())
        warn(warnings, "unlike_training", static_cast<std::int64_t>(names.size()),
             fmt::format("up to {:.0f}% of the cells have values that no training area has ({}{}): "
                         "add training there",
                         most * 100,
                         fmt::join(names.begin(),
                                   names.begin() + std::min<std::ptrdiff_t>(3, std::ssize(names)),
                                   ", "),
                         names.size() > 3 ? ", ..." : ""));
}

std::string percent(std::optional<double> share)
{
    return share ? fmt::format("{:.0f}%", *share * 100) : std::string{"not known"};
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
    if (parts.model.visits)
        note.push_back(sentence_of_visits(*parts.model.visits));
    if (parts.model.only_trees && parts.plan.has_height())
        note.push_back(
            fmt::format("Only trees were trained: cells lower than {} m are taken as low "
                        "plants or ground, without conifers.",
                        least_tree_m));
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
    manifest["conifer_ha"] = parts.totals.share_sum * parts.cell_ha;
    manifest["note"] = note_of(parts);
    json& warnings = manifest["warnings"] = json::array();
    if (parts.model.rule) {
        warn_of_rule(warnings);
        return manifest;
    }
    warn_of_training(parts, warnings);
    warn_of_range(parts, warnings);
    return manifest;
}

} // namespace fuelring
