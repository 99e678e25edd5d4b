// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/inputs/inputs.hpp"
#include "run/stages/stages.hpp"
#include "run/treat/treat_plan.hpp"

#include <nlohmann/json_fwd.hpp>

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// What a run of `map` made beside its own files.
struct AlsoMade {
    std::vector<std::string> files;
    std::optional<TreatmentResult> plan;
};

/// The work of that, as run/stages/stage_phases.hpp counts it.
std::int64_t work_of_also(const RunAlso& also, const Community& community);

/// Makes what run.also names in `staging`, where `files`, those of the run itself, are finished:
/// the same bytes as `treat` and `report` after the run. `manifest` gets the objects `treatment`
/// and `report`. The parcels' owners in `inputs` are set aside meanwhile.
/// Throws: Error of every kind.
AlsoMade make_also(const StageContext& context, Inputs& inputs,
                   const std::filesystem::path& staging, const std::vector<std::string>& files,
                   nlohmann::json& manifest, Log& log);

/// True where a set has what run.also names, as this configuration asks for it; else says what is
/// made again.
bool has_also(const nlohmann::json& manifest, const RunAlso& also,
              const std::optional<TreatmentSettings>& treatment, Log& log);

} // namespace fuelring
