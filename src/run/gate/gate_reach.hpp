// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/inputs/inputs.hpp"

namespace fuelring {

/// True where some structure's widest ring may reach ground that one of two parts of the fuel
/// raster (as its file has it) covers and the other does not.
bool rings_see_difference(const Inputs& inputs, double widest_m, const CellRect& a,
                          const CellRect& b);

} // namespace fuelring
