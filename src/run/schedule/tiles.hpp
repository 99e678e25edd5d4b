// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "exposure/community.hpp"

#include <fuelring/grid.hpp>

#include <cstdint>
#include <span>
#include <vector>

namespace fuelring {

/// Structures, or regions, whose frames fall into the same square of this many cells share a
/// window of running sums.
inline constexpr std::int64_t group_cells = 128;

/// The quotient towards minus infinity: the tile of a cell on and off the raster. Requires: b > 0.
constexpr std::int64_t floor_div(std::int64_t a, std::int64_t b)
{
    return a >= 0 ? a / b : -((-a + b - 1) / b);
}

/// Cells of a tile that lie on the raster; empty for a tile off it. Tiles at its right and lower
/// edge may be narrower. `row`, `col`: in tiles.
CellRect cells_of_tile(std::int64_t row, std::int64_t col, int tile_cells, const Grid& grid);

/// `cols` cells of a row from `col` on, as a box in metres of a frame; `ground` is the grid at the
/// frame's scale. x rises with columns, y against rows.
Box box_of_cells(std::int64_t row, std::int64_t col, std::int64_t cols, const CellFrame& frame,
                 const Grid& ground);

/// Squared distance (m2) from the walls of a footprint to a closed box, both in metres of one
/// frame; 0 where they meet, infinite without walls.
double squared_distance(const Footprint& footprint, const Box& box);

/// Whether the widest ring meets the raster, within the margin of reach_of.
bool reaches(const Structure& structure, const Grid& grid, double widest_m);

/// Cells that the structure's widest ring may touch when it is moved by up to `moved_m`, with a
/// margin of two; may leave the raster. `widest_m` and `moved_m` are metres of the ground; a slope
/// stretches the first, and the map's scale at the structure turns both into cells.
/// Law: no integral over a ring looks at a cell beyond.
CellRect reach_of(const Structure& structure, const Grid& grid, double widest_m,
                  double moved_m = 0);

/// Structures by tile. Only tiles that hold something are there, row by row, and the structures of
/// each rise. After construction from any number of threads; refers to no community.
class TileIndex {
public:
    struct Tile {
        std::int64_t col = 0; ///< in tiles
        std::int64_t row = 0;
        std::size_t first = 0; ///< range in the list of structures, for structures()
        std::size_t count = 0;
    };

    /// Every structure in the one tile that holds its frame's cell; where `only` is given, those
    /// that it says true of.
    static TileIndex of_owners(const Community& community, int tile_cells,
                               const std::vector<bool>* only = nullptr);
    /// Every structure in each tile of the raster that its widest ring may touch, unmoved: in none
    /// where its rings miss the raster.
    static TileIndex of_reach(const Community& community, const Grid& grid, int tile_cells,
                              double widest_m);

    /// The same on and off the raster: tiles to the left of it and above have negative numbers.
    static TileIndex of_whole_reach(const Community& community, const Grid& grid, int tile_cells,
                                    double widest_m);

    /// The tile at a place; null where it holds no structure. Belongs to this index.
    const Tile* find(std::int64_t row, std::int64_t col) const;
    /// By row, then column; the place of a tile here is its number for shards and totals.
    const std::vector<Tile>& tiles() const { return tiles_; }
    /// `tile` must be one of tiles().
    std::span<const std::uint32_t> structures(const Tile& tile) const
    {
        return std::span{structures_}.subspan(tile.first, tile.count);
    }

private:
    struct Entry {
        std::int32_t row;
        std::int32_t col;
        std::uint32_t structure;
    };
    explicit TileIndex(std::vector<Entry> entries);
    /// Every structure in each tile that reach(structure) touches.
    template <typename Reach>
    static TileIndex of_rects(const Community& community, int tile_cells, Reach&& reach);

    std::vector<Tile> tiles_;
    std::vector<std::uint32_t> structures_;
};

} // namespace fuelring
