// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/tables/run_labels.hpp"

#include <vector>

namespace fuelring {

/// Square metres as hectares; what rounding left below 0 is 0.
/// Areas are differences of sums, whose last bits may leave -1e-12 where there is nothing.
double hectares(double m2);

/// A row of addresses.csv, and of the layers `addresses` and `structures`.
/// It looks at the tables, which must outlive it.
struct Home {
    const RunTables& tables;
    AddressRow row; ///< without an address in the layer `structures`

    const Structure& structure() const { return tables.community.structures[row.structure]; }
    const StructureResult& result() const { return tables.results[row.structure]; }
    const MeasuredStructure& measure() const { return *result().measure; }
    const RingArea& ring(std::size_t k) const { return measure().rings[k]; }
    /// Requires: the run had heights.
    const Terrain& terrain() const { return tables.community.terrain[row.structure]; }
    /// Requires: tables.draws.
    const StructureDraws& draws() const { return tables.draws->structures[row.structure]; }
};

/// The columns of addresses.csv and of the layers `structures` (without `address`) and `addresses`,
/// in their order. Those of inputs that are optional come after `flags`, and only where the input
/// is there. Figures of ground that counts as unmapped are unknown, not 0.
/// Units: in the head of each column.
std::vector<Column<Home>> address_columns(const RunLabels& labels);

} // namespace fuelring
