// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/gdal/reprojection.hpp"

namespace fuelring {

/// Never asks the network for a grid, whatever the environment says, and prints nothing.
ContextPtr quiet_context();

/// The operation that PROJ ranks first in `area` among those whose grids are installed: a function
/// of its arguments and PROJ's files alone. Takes PROJ 5 to 20 ms, so workers copy a Reprojection
/// that somebody made for all of them. Throws: Error{input} when PROJ knows no way.
/// `area` may be missing: PROJ then ranks for the whole of both systems. `with_grids` of the result
/// is set where an operation that serves all of the area would be more accurate if its grids were
/// there.
CoordinateOperation choose_operation(const Crs& from, const Crs& to,
                                     const std::optional<GeoArea>& area);

} // namespace fuelring
