// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <nlohmann/json.hpp>

#include <string>
#include <vector>

namespace fuelring {

/// What the figures of a run depend on beside its data: rings, weights, class table, terrain, what
/// ranks, filters, field corrections, version. Read from run.json.
nlohmann::json method_of(const nlohmann::json& manifest);

/// Names of what differs between two methods, such as "weights"; empty where figures compare.
/// Names are those of `after`, sorted.
std::vector<std::string> method_differences(const nlohmann::json& before,
                                            const nlohmann::json& after);

/// Twelve hex digits that differ where the method does, the version of the program left out: rows
/// of history.csv with the same word may be compared.
std::string method_word(const nlohmann::json& method);

} // namespace fuelring
