// SPDX-License-Identifier: Apache-2.0
#include "run/classify/words/class_warnings.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <optional>
#include <set>
#include <string>
#include <vector>

namespace fuelring {

namespace {

using nlohmann::json;

constexpr std::int64_t few_areas = 10; ///< of a group; planning default
constexpr double much_outside = 0.2;   ///< share of the cells beyond what was trained
constexpr double one_corner = 0.1;     ///< of what is classified, by the box of training
constexpr double few_years = 2;        ///< that trees look much the same; planning default

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
                             static_cast<double>(parts.totals.all.known_cells);
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

/// One tile of another camera or day is lost among many cells, but not among those of its blocks.
void warn_of_places(const ClassificationParts& parts, json& warnings)
{
    const ClassTotals& totals = parts.totals;
    if (totals.unlike_blocks > 0)
        warn(warnings, "places_unlike_training", totals.unlike_blocks,
             fmt::format("in {} of {} blocks of {} x {} cells most cells have values that no "
                         "training area has: a tile of another camera or day? Add training there",
                         totals.unlike_blocks, totals.known_blocks, out_block_cells,
                         out_block_cells));
}

/// Of YYYY-MM-DD; empty for other words, which a configuration may have.
std::optional<double> years_of(const std::string& date)
{
    int year = 0, month = 0, day = 0;
    if (std::sscanf(date.c_str(), "%4d-%2d-%2d", &year, &month, &day) != 3)
        return std::nullopt;
    return year + (month - 1 + (day - 1) / 31.0) / 12;
}

void warn_of_dates(const ClassificationParts& parts, json& warnings)
{
    std::set<std::string> dates; // their order is that of time
    for (const ImageRaster& image : parts.images)
        if (years_of(image.source().date))
            dates.insert(image.source().date);
    if (dates.empty())
        return;
    const std::string &first = *dates.begin(), &last = *dates.rbegin();
    if (*years_of(last) - *years_of(first) > few_years)
        warn(warnings, "images_years_apart", std::ssize(dates),
             fmt::format("the images are of {} to {}: what was planted or felled in between is "
                         "told wrongly; look there, or use images of one time",
                         first, last));
    const auto far_off = [&](const TrainingArea& area) {
        const auto seen = years_of(area.date);
        return seen && std::abs(*seen - *years_of(last)) > few_years;
    };
    if (const auto count = std::ranges::count_if(parts.model.areas, far_off); count > 0)
        warn(warnings, "visits_years_apart", count,
             fmt::format("{} visited place{} seen more than {} years before or after the newest "
                         "image ({}): what stood there may not be what the image shows; visit "
                         "again, or leave out those rows",
                         count, count == 1 ? " was" : "s were", few_years, last));
}

} // namespace

std::map<FuelGroup, std::int64_t> areas_by_group(const ClassModel& model)
{
    std::map<FuelGroup, std::int64_t> counts;
    for (const TrainingArea& area : model.areas)
        if (area.cells > 0 && area.use != TrainingArea::Use::control)
            ++counts[area.group];
    return counts;
}

nlohmann::json warnings_of(const ClassificationParts& parts)
{
    json warnings = json::array();
    if (parts.model.rule) {
        warn_of_rule(warnings);
    } else {
        warn_of_training(parts, warnings);
        warn_of_range(parts, warnings);
        warn_of_places(parts, warnings);
    }
    warn_of_dates(parts, warnings);
    return warnings;
}

} // namespace fuelring
