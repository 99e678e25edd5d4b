// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/tables/tables_out.hpp"

#include <string>
#include <vector>

namespace fuelring {

/// One column of the neighbourhood table, in neighbourhoods.csv and in fuelring.gpkg.
struct NeighbourhoodColumn {
    enum class Kind { name, integer, real };
    std::string name;
    Kind kind = Kind::real;
    int decimals = 0; ///< in the CSV; the GeoPackage carries full doubles
};

/// The columns in their order (src/manual/outputs.md).
std::vector<NeighbourhoodColumn> neighbourhood_columns(const RunTables& tables);

/// The numbers of the row at `place` in the order of the columns; NaN where there is nothing to say
/// and at the place of the name.
std::vector<double> neighbourhood_numbers(const RunTables& tables, std::size_t place);

} // namespace fuelring
