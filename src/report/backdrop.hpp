// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/footprint.hpp>

#include <cstdint>
#include <string>
#include <vector>

namespace fuelring {

/// A picture of the town's own that lies under a map: north up, in the picture's coordinates.
struct Backdrop {
    std::string credit; ///< whose it is; goes with every map that shows it. Not empty
    Box box;            ///< what the pixels cover
    int cols = 0;
    int rows = 0;
    std::vector<std::uint8_t>
        rgb;          ///< three a pixel, row by row from the north; white where there is none
    std::string jpeg; ///< the same as a JPEG file
};

} // namespace fuelring
