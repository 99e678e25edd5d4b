// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>

namespace fuelring {

/// PictureSquares in few bytes: floats in planes by byte, the lowest first, packed by zlib.
/// `bits` 32: floats as they are. 24: without their lowest byte, rounded, so that each is off by at
/// most 1 part in 65,536, and a sum of them likewise.
struct PackedSquares {
    int side = 1; ///< cells along a square
    std::int64_t cols = 0;
    std::int64_t rows = 0;
    int bits = 32;
    std::string zlib; ///< RFC 1950; empty where there are no squares
};

} // namespace fuelring
