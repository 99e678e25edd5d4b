// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/inputs/inputs.hpp"

#include <memory>

namespace fuelring {

/// Opens the elevation raster and says in the log what it is; a unit that is not known is a
/// warning. Throws: Error{input}.
std::unique_ptr<ElevationRaster> open_elevation(const ElevationSource& source,
                                                const AnalysisGrid& analysis, Inputs& inputs,
                                                Log& log);

} // namespace fuelring
