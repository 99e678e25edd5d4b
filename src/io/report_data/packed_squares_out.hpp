// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/packed_squares.hpp"
#include "report/run_picture.hpp"

#include <cstddef>

namespace fuelring {

/// Squares in at most `most_bytes`: as they are where these hold them, else in 24 bits, else in
/// squares of twice the side, and so on. The same squares give the same bytes.
/// Throws: Error{output} where there is no memory.
PackedSquares packed_squares(PictureSquares squares, std::size_t most_bytes);

} // namespace fuelring
