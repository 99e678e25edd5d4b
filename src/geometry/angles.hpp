// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace fuelring {

/// Angles in radians.
/// pi / 2 rounded to the nearest double. Parameters of arcs are counted in these, not in degrees.
inline constexpr double quarter_turn = 1.57079632679489661923;
inline constexpr double full_turn = 4 * quarter_turn;

} // namespace fuelring
