// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/projects/project_layer_in.hpp"
#include "projects/project_account.hpp"
#include "run/inputs/inputs.hpp"

#include <nlohmann/json_fwd.hpp>

#include <filesystem>
#include <string>
#include <vector>

namespace fuelring {

struct AppraiseSettings;
struct Config;

/// Names of the files that an appraisal consists of in a published set.
extern const std::vector<std::string> files_of_appraise;

/// Writes the tables into `staging`, several at a time. Throws: Error{output}.
void write_appraisal(const std::filesystem::path& staging, const ProjectAccount& account,
                     const Inputs& inputs, const Config& config, int jobs);

/// `appraisal` of run.json, but for its timings: where the polygons come from, all projects
/// together, each of them, and what a budget chooses.
nlohmann::json appraisal_json(const ProjectAccount& account, const ProjectSource& source,
                              const ProjectLayer& layer, const Warnings& warnings,
                              const AppraiseSettings& settings);

/// The appraisal for people: each project in a line, all of them, and that nothing is done yet.
void say_appraisal(const ProjectAccount& account, const Config& config, Log& log);

} // namespace fuelring
