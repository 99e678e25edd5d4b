// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/tables/column.hpp"
#include "io/tables/tables_out.hpp"

#include <cstddef>
#include <vector>

namespace fuelring {

/// The columns of neighbourhoods.csv and of the layer `neighbourhoods`, in their order. A row is an
/// index into `tables.neighbourhoods`. The columns refer to `tables`.
std::vector<Column<std::size_t>> neighbourhood_table(const RunTables& tables);

} // namespace fuelring
