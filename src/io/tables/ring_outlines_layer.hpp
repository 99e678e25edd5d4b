// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/geopackage/gpkg_file.hpp"
#include "io/tables/tables_out.hpp"

namespace fuelring {

/// Adds the layer `ring_outlines`: the ground of every ring of every structure as it was measured,
/// from the outline within (the wall, for the innermost) to its own, arcs within 1 mm. Fields:
/// structure_id, ring (its label), outer_m (its nominal distance).
/// Law: a row for each ring of each structure, in their order; those of a structure cover the
/// ground within its widest distance once, but for the roof and what chords cut off. Throws:
/// Error{output}.
void add_ring_outlines(GpkgFile& file, const RunTables& tables);

} // namespace fuelring
