// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/tables/column.hpp"
#include "io/tables/tables_out.hpp"
#include "sensitivity/sensitivity.hpp"

#include <filesystem>
#include <vector>

namespace fuelring {

/// sensitivity.csv (a row a structure, in the order of addresses.csv) and
/// sensitivity_neighbourhoods.csv (those with a rank, by rank). Throw: Error{output}.
void write_sensitivity_csv(const std::filesystem::path& path, const RunTables& tables,
                           const SensitivityFindings& findings, bool bom);
void write_sensitivity_neighbourhoods_csv(const std::filesystem::path& path,
                                          const SensitivityFindings& findings, bool bom);

/// Columns of both, for the manual.
std::vector<FileColumns> sensitivity_tables();

} // namespace fuelring
