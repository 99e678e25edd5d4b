// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace fuelring {

inline constexpr double m2_per_ha = 1e4;

} // namespace fuelring
