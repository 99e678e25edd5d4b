// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace fuelring {

/// Tables count hectares, sums square metres.
inline constexpr double m2_per_ha = 1e4;

/// Less than this is what pieces of a boundary leave of each other, not ground.
/// A thousandth of a square millimetre.
inline constexpr double rounding_m2 = 1e-9;

} // namespace fuelring
