// SPDX-License-Identifier: Apache-2.0
#include "run/inputs/systems.hpp"

#include "base/program/json_values.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace fuelring {

namespace {

constexpr std::size_t first_few_structures = 5;
/// Areas of use are written in hundredths of a degree.
constexpr double area_rounding_deg = 0.01;

/// No figure depends on longitudes and latitudes, so that they are never refused.
void warn_of_degrees(double within_m, Inputs& inputs)
{
    const CoordinateOperation& operation = inputs.to_wgs84;
    if (operation.ballpark)
        inputs.warnings.push_back({"degrees_inaccurate",
                                   "lon and lat may be off by hundreds of metres: PROJ knows no "
                                   "shift between the raster's datum and WGS 84; no distance and "
                                   "no area depends on them",
                                   1,
                                   {operation.name}});
    else if (operation.accuracy_m.value_or(0) > within_m)
        inputs.warnings.push_back(
            {"degrees_inaccurate",
             fmt::format("lon and lat are good to {:g} m; no distance and no area depends on them",
                         *operation.accuracy_m),
             1,
             {operation.name}});
}

GeoArea widened(const GeoArea& area)
{
    return {area.west - area_rounding_deg, area.south - area_rounding_deg,
            area.east + area_rounding_deg, area.north + area_rounding_deg};
}

void warn_outside_area(const Crs& crs, Inputs& inputs)
{
    const std::optional<GeoArea> used = crs.area_of_use();
    if (!used)
        return;
    const GeoArea area = widened(*used);
    Warning warning{"outside_area_of_use", "", 0, {}};
    for (const Structure& s : inputs.community.structures) {
        if (area.holds({s.lon_deg, s.lat_deg}))
            continue;
        ++warning.count;
        if (warning.examples.size() < first_few_structures)
            warning.examples.push_back(s.id);
    }
    if (warning.count == 0)
        return;
    warning.text =
        fmt::format("{} structures lie outside the area that {} is made for ({:g} to {:g} east, "
                    "{:g} to {:g} north)",
                    warning.count, crs.name(), used->west, used->east, used->south, used->north);
    inputs.warnings.push_back(std::move(warning));
}

void warn_outside_areas(Inputs& inputs)
{
    const Crs raster = inputs.raster->plan().source.crs;
    warn_outside_area(raster, inputs);
    for (const LayerCrs& layer : inputs.layers)
        if (layer.key == "inputs.structures" && !layer.crs.same_as(raster))
            warn_outside_area(layer.crs, inputs);
}

} // namespace

void judge_systems(double within_m, Inputs& inputs, Log& log)
{
    const AnalysisGrid& analysis = inputs.raster->analysis();
    inputs.to_wgs84 = Reprojection{analysis.crs, Crs::wgs84(), analysis.area}.operation();
    for (const LayerCrs& layer : inputs.layers)
        log.detail(layer.note);
    if (!inputs.to_wgs84.none())
        log.detail("longitudes and latitudes " + inputs.to_wgs84.in_words());
    judge_operations(inputs.layers, within_m, accept_inaccuracy, inputs.warnings);
    warn_of_degrees(within_m, inputs);
    warn_outside_areas(inputs);
}

void say_systems(const std::vector<LayerCrs>& layers, double within_m, Log& log)
{
    Warnings warnings;
    for (const LayerCrs& layer : layers)
        log.detail(layer.note);
    judge_operations(layers, within_m, accept_inaccuracy, warnings);
    for (const Warning& warning : warnings)
        log.warn(warning);
}

std::string pipeline_of(const Inputs& inputs, std::string_view key)
{
    const auto layer = std::find_if(inputs.layers.begin(), inputs.layers.end(),
                                    [key](const LayerCrs& l) { return l.key == key; });
    return layer == inputs.layers.end() ? std::string{} : layer->operation.pipeline;
}

nlohmann::json systems_json(const std::vector<LayerCrs>& layers)
{
    nlohmann::json systems = nlohmann::json::object();
    for (const LayerCrs& layer : layers)
        put_operation(systems[layer.key], layer.operation);
    return systems;
}

void put_operation(nlohmann::json& entry, const CoordinateOperation& operation)
{
    entry["operation"] = operation.none() ? nlohmann::json() : nlohmann::json(operation.name);
    entry["accuracy_m"] = or_null(operation.accuracy_m);
}

} // namespace fuelring
