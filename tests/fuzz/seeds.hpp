// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

namespace fuelring::test {

// Good files of each kind: those of the source tree, and small ones that are made here.
std::vector<std::string> config_seeds();
std::vector<std::string> class_table_seeds();
std::vector<std::string> multiplier_seeds();
std::vector<std::string> matrix_seeds();
std::vector<std::string> state_seeds();
std::vector<std::string> run_json_seeds();
std::vector<std::string> outline_seeds();
std::vector<std::string> library_seeds();
std::vector<std::string> batch_seeds();

} // namespace fuelring::test
