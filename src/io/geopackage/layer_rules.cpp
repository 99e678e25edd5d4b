// SPDX-License-Identifier: Apache-2.0
#include "io/geopackage/layer_rules.hpp"

#include "base/colours/map_colours.hpp"
#include "exposure/exposure_classes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string_view>

namespace fuelring {

namespace {

/// The first of these that a layer has is what it is drawn by.
constexpr std::array<std::string_view, 2> drawn_by{"exposure", "exposure_after"};
constexpr double most_exposure = 100;
constexpr double any_number = 1e300;
/// Lower ends of the classes of patches, in points of total exposure that clearing one saves.
constexpr std::array<double, 5> patch_classes{0, 0.5, 1, 2, 5};
constexpr double closest_labels = 2000;

bool has(const std::vector<GpkgField>& fields, std::string_view name)
{
    return std::any_of(fields.begin(), fields.end(),
                       [name](const GpkgField& field) { return field.name == name; });
}

/// "below 1", "1 to 2", "50 to 100", "5 or more", as on the page.
template <std::size_t N>
std::string class_name(const std::array<double, N>& from, std::size_t k, double most)
{
    if (k == 0)
        return fmt::format("below {}", from[1]);
    if (k + 1 == N && most == any_number)
        return fmt::format("{} or more", from[k]);
    return fmt::format("{} to {}", from[k], k + 1 < N ? from[k + 1] : most);
}

std::vector<StyleRule> exposure_rules(std::string_view column)
{
    std::vector<StyleRule> rules;
    for (std::size_t k = 0; k < exposure_classes.size(); ++k) {
        const bool last = k + 1 == exposure_classes.size();
        rules.push_back({class_name(exposure_classes, k, most_exposure), std::string{column},
                         exposure_classes[k], last ? most_exposure + 1 : exposure_classes[k + 1],
                         report::hex_of(report::map_colours().exposure[k])});
    }
    rules.push_back({"not measured (unknown)", std::string{column}, 0, 0,
                     report::hex_of(report::map_colours().hatch), true});
    return rules;
}

std::vector<StyleRule> patch_rules()
{
    std::vector<StyleRule> rules;
    for (std::size_t k = 0; k < patch_classes.size(); ++k)
        rules.push_back({class_name(patch_classes, k, any_number), "exposure_removed",
                         patch_classes[k],
                         k + 1 < patch_classes.size() ? patch_classes[k + 1] : any_number,
                         report::hex_of(report::map_colours().gain[patch_classes.size() - 1 - k])});
    return rules;
}

} // namespace

LayerDrawing drawing_of(const std::string& layer, bool points, const std::vector<GpkgField>& fields)
{
    using Kind = LayerDrawing::Kind;
    const std::vector<StyleRule> plain{
        {layer, {}, 0, 0, report::hex_of(report::map_colours().area)}};
    if (!points && has(fields, "mean_exposure"))
        return {Kind::outline, plain, has(fields, "neighbourhood") ? "neighbourhood" : ""};
    if (points && has(fields, "address"))
        return {Kind::dots, plain, "address", closest_labels};
    if (!points && has(fields, "exposure_removed") && has(fields, "rank"))
        return {Kind::filled, patch_rules(), "rank", closest_labels};
    for (const std::string_view column : drawn_by)
        if (has(fields, column))
            return {Kind::filled, exposure_rules(column)};
    return {Kind::outline, plain};
}

} // namespace fuelring
