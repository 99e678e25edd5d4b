// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/shards/shard_file.hpp"
#include "run/stages/result_source.hpp"

#include <filesystem>
#include <memory>
#include <vector>

namespace fuelring {

/// Reads what parts say of themselves; by shard, each of a community's shards once.
/// `config`: names the configuration in messages. Throws: Error{input} that names the file and
/// what is wrong with it: no part, of another number of shards, another program, configuration or
/// inputs, given twice; or the shards that are missing.
std::vector<PartReader> open_parts(const std::vector<std::filesystem::path>& files,
                                   const InputDigests& origin, const std::filesystem::path& config);

/// Takes every figure from the parts; a block of the raster is read only where codes that the
/// class table lacks have to be counted.
/// Throws: Error{input} where a part is damaged, or was made by a machine that placed the
/// structures otherwise than this one.
std::unique_ptr<ResultSource> merged_results(const StageContext& context, const Inputs& inputs,
                                             std::vector<PartReader>& parts, Reuse& reuse);

} // namespace fuelring
