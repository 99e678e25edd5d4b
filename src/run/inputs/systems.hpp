// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/inputs/inputs.hpp"

#include <nlohmann/json_fwd.hpp>

#include <string>

namespace fuelring {

/// Says by which operations the layers came into the analysis CRS, and warns of what is wrong with
/// them: keys ballpark_operations, grids_missing, outside_area_of_use, degrees_inaccurate.
/// Throws: Error{input} where one is less accurate than the configuration accepts.
void judge_systems(double within_m, Inputs& inputs, Log& log);

/// The same of layers that are read beside those of a run.
void say_systems(const std::vector<LayerCrs>& layers, double within_m, Log& log);

/// PROJ's words for how a layer of that key came into the analysis CRS; empty where it stands in
/// it, or is none of this run's.
std::string pipeline_of(const Inputs& inputs, std::string_view key);

/// `operation` and `accuracy_m` by key: "inputs.structures", ...
nlohmann::json systems_json(const std::vector<LayerCrs>& layers);

/// Adds `operation` and `accuracy_m` to `entry`: null and 0 where coordinates were taken as they
/// are; accuracy null where none is stated.
void put_operation(nlohmann::json& entry, const CoordinateOperation& operation);

} // namespace fuelring
