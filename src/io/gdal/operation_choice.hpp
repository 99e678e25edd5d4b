// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/gdal/reprojection.hpp"

#include <proj.h>

#include <memory>

namespace fuelring {

struct ContextDestroy {
    void operator()(PJ_CONTEXT* context) const noexcept { proj_context_destroy(context); }
};
using ContextPtr = std::unique_ptr<PJ_CONTEXT, ContextDestroy>;

struct PjDestroy {
    void operator()(PJ* object) const noexcept { proj_destroy(object); }
};
using PjPtr = std::unique_ptr<PJ, PjDestroy>;

/// Never asks the network for a grid, whatever the environment says, and prints nothing.
ContextPtr quiet_context();

/// The operation that PROJ ranks first in `area` among those whose grids are installed. The same
/// for the same question. Throws: Error{input} when PROJ knows no way.
CoordinateOperation choose_operation(const Crs& from, const Crs& to,
                                     const std::optional<GeoArea>& area);

} // namespace fuelring
