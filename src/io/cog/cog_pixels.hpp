// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/cog/cog_writer.hpp"

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>

namespace fuelring {

// A tile of either kind of output raster is 512 x 512 words of 32 bits, row by row from the top:
// the bits of one float, or two UInt16 bands pixel by pixel (band 1 in the low half). So packing,
// padding, thinning and comparing are the same for both.
inline constexpr int tile_side = 512;
inline constexpr std::size_t tile_cells = std::size_t{tile_side} * tile_side;
inline constexpr std::size_t tile_bytes = tile_cells * sizeof(std::uint32_t);
using TileWords = std::span<std::uint32_t, tile_cells>;
using ConstTileWords = std::span<const std::uint32_t, tile_cells>;

inline constexpr std::uint32_t nan_word = 0x7fc00000;     ///< a quiet NaN
inline constexpr std::uint32_t no_data_word = 0xffffffff; ///< 65535 in both bands

/// Statistics of a tile of floats; NaN is not valid.
/// Summed in double, in the order of the cells.
BandStats float_stats(ConstTileWords tile);
/// Statistics of both bands of a tile of UInt16 pairs; 65535 is not valid.
/// Sums and squares of whole numbers are exact: 2^18 cells of 16 bits stay below 2^50.
std::array<BandStats, 2> pair_stats(ConstTileWords tile);

/// Whether a tile of floats, or of pairs, has a cell that is not nodata.
/// A pair is nodata only where both of its bands are.
bool has_valid_cell(ConstTileWords tile, bool floats);

/// Makes `tile` hold `cols` x `rows` cells of `from` and `fill` beyond them.
/// Requires: `from` and `tile` do not overlap; cols and rows from 0 to tile_side.
void copy_padded(ConstTileWords from, int cols, int rows, std::uint32_t fill, TileWords tile);

/// Writes the half-size picture of `tile` into the quadrant (right, lower) of `parent`.
/// Floats: the mean of the valid cells of each 2 x 2, NaN where none is.
/// Law: the mean is rounded to a float once, after a sum in double. The other quadrants stay.
void average_into(ConstTileWords tile, bool right, bool lower, TileWords parent);
/// Pairs: the upper left cell of each 2 x 2.
/// Law: no value comes up that the tile does not hold, as codes ask for.
void thin_into(ConstTileWords tile, bool right, bool lower, TileWords parent);

} // namespace fuelring
