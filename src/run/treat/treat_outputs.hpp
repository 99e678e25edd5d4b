// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/inputs/inputs.hpp"
#include "run/stages/stages.hpp"

#include <nlohmann/json_fwd.hpp>

#include <filesystem>
#include <string>
#include <vector>

namespace fuelring {

struct TreatmentResult;

/// Names of the files that a plan can consist of in a published set.
extern const std::vector<std::string> files_of_treat;
/// Those that this one consists of.
std::vector<std::string> files_of(const TreatmentResult& result);

/// Writes the tables of a plan into `staging`, several at a time. Columns of cost are there where
/// the plan has costs. Throws: Error{output}.
void write_treatment(const std::filesystem::path& staging, const TreatmentResult& result,
                     const TreatmentSettings& settings, const Inputs& inputs, bool bom, int jobs);

/// `treatment` of run.json, but for its timings. Money is there only where the plan has costs.
nlohmann::json treatment_json(const TreatmentResult& result, const TreatmentSettings& settings);

/// True where `treatment` of a run.json is of a plan with the settings of this configuration.
bool is_treatment_of(const nlohmann::json& treatment, const TreatmentSettings& settings);

/// A plan for people: units, what they save, what no plan could beat.
void say_treatment(const TreatmentResult& result, const Config& config, Log& log);

} // namespace fuelring
