// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/tables/column.hpp"
#include "io/tables/tables_out.hpp"

#include <vector>

namespace fuelring {

/// Square metres as hectares; what rounding left below 0 is 0.
double hectares(double m2);

/// The column of addresses.csv that is the address's and not the structure's.
inline constexpr const char* address_column = "address";

/// The columns of addresses.csv and of the layers `structures` (without `address`) and `addresses`,
/// in their order, ring labels made from the plan. Those of inputs that are optional come after
/// `flags`, and only where the input is there. Figures of ground that counts as unmapped are
/// unknown, not 0. The columns refer to `tables`.
std::vector<Column<AddressRow>> address_table(const RunTables& tables);

} // namespace fuelring
