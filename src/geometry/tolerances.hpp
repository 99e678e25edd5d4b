// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace fuelring {

/// Overlaps up to this share of the body are touching, not crossing.
/// A chord at depth d r is 2 sqrt(2 d) r long, the segment beyond it 1.9 d^1.5 r^2 large: what is
/// ignored is 2e-18 r^2.
inline constexpr double touching = 1e-12;
/// Lines are parallel where the sine of the angle between them is below this.
/// Over 100 m such lines part by 1e-12 m, which is end_slack.
inline constexpr double parallel = 1e-14;
/// Beyond its ends a piece is still met by so much: metres on lines, radians on arcs.
/// A corner computed by two formulas is rounded twice; without slack both could miss it.
inline constexpr double end_slack = 1e-12;
/// A distance at which shapes touch is tried again so much larger.
/// At 100 m that is 1e-7 m, less than any survey tells, and 1e5 times the slack of ends.
inline constexpr double nudge = 1 + 1e-9;

} // namespace fuelring
