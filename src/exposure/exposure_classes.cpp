// SPDX-License-Identifier: Apache-2.0
#include "exposure/exposure_classes.hpp"

#include <algorithm>

namespace fuelring {

std::size_t exposure_class(double exposure)
{
    // The first bound needs no look: nothing lies below its class.
    const auto above =
        std::upper_bound(exposure_classes.begin() + 1, exposure_classes.end(), exposure);
    return static_cast<std::size_t>(above - exposure_classes.begin()) - 1;
}

} // namespace fuelring
