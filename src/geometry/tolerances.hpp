// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace fuelring {

/// Overlaps up to this share of the body are touching, not crossing.
inline constexpr double touching = 1e-12;
/// Lines are parallel where the sine of the angle between them is below this.
inline constexpr double parallel = 1e-14;
/// Beyond its ends a piece is still met by so much: metres on lines, radians on arcs.
inline constexpr double end_slack = 1e-12;
/// A distance at which shapes touch is tried again so much larger.
inline constexpr double nudge = 1 + 1e-9;

} // namespace fuelring
