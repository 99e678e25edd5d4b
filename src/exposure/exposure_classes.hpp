// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>

namespace fuelring {

/// Lower bounds of the classes of exposure that pages and maps show, in points; the same for every
/// community, so that two pages can be laid side by side.
inline constexpr std::array<double, 7> exposure_classes{0, 1, 2, 5, 10, 20, 50};

/// Class of an exposure: index into `exposure_classes`.
/// Bounds belong to the class above them. Requires: a number; below 0 it is class 0.
std::size_t exposure_class(double exposure);

} // namespace fuelring
