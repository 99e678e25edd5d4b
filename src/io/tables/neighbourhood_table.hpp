// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/tables/run_labels.hpp"

#include <vector>

namespace fuelring {

/// A row of neighbourhoods.csv and of the layer `neighbourhoods`.
struct Neighbourhood : NeighbourhoodRow {
    NeighbourhoodDraws draws; ///< where the run had any
};

/// The columns of both, and of the public table where `labels` have no `office`.
/// Units: hectares of the ground for areas, exposure 0 to 100; a figure that too little is known
/// for is null, not 0.
std::vector<Column<Neighbourhood>> neighbourhood_columns(const RunLabels& labels);

/// In their order.
/// One for each of tables.neighbourhoods, with its draws beside it.
std::vector<Neighbourhood> neighbourhoods_of(const RunTables& tables);

} // namespace fuelring
