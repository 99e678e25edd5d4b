// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/schedule/tiles.hpp"

#include <fuelring/measure.hpp>

#include <cstdint>
#include <string>
#include <vector>

namespace fuelring {

/// The K-th of N parts of a community. Numbers here begin with 1, as people write them; the
/// functions of ShardPlan count from 0.
struct Shard {
    int number = 1; ///< from 1 to `of`
    int of = 1;
};
/// "3/7".
std::string name_of(const Shard& shard);

/// What one part of the work is. Blocks need the measures of structures that belong to other parts:
/// these are measured by several, with the same bits.
struct Share {
    std::vector<bool> own;      ///< by structure: its results are the part's
    std::vector<bool> measured; ///< these, and all whose rings reach a block of the part
    std::vector<bool> blocks;   ///< by tile of ShardPlan::blocks(): this block of the surface
};

/// Place along Hilbert's curve through a square of 2^bits x 2^bits cells.
/// Requires: x and y below 2^bits, bits at most 32. Keys lie below 4^bits, each taken once; cells
/// whose keys follow each other share an edge.
std::uint64_t hilbert_key(std::uint32_t x, std::uint32_t y, int bits);

/// Who does which structures and blocks of the surface when N share the work: runs along Hilbert's
/// curve of about equal work. Depends on community, grid, rings, draws and N alone, so machines
/// that read the same inputs agree without a word. Refers to none of them afterwards. Law: every
/// structure, and every block of blocks(), belongs to exactly one shard. A shard may have nothing
/// to do.
class ShardPlan {
public:
    /// `furthest_m`: how far rings may reach on slopes, at most; `draws`: registration draws, 0 for
    /// none; `shards`: N, at least 1.
    ShardPlan(const Community& community, const Grid& grid, const RingPlan& rings,
              double furthest_m, int draws, int shards);

    int shards() const { return static_cast<int>(structures_.size()); }
    /// Blocks of the surface that some ring may reach.
    const TileIndex& blocks() const { return blocks_; }
    /// Structures, and blocks by their place in blocks(), of the shard that is `shard` from 0; each
    /// in rising order.
    const std::vector<std::uint32_t>& structures_of(int shard) const
    {
        return structures_[static_cast<std::size_t>(shard)];
    }
    const std::vector<std::uint32_t>& blocks_of(int shard) const
    {
        return blocks_of_[static_cast<std::size_t>(shard)];
    }
    /// What a stage takes (StageContext::share), as flags by structure and block.
    Share share(int shard) const;

private:
    TileIndex blocks_;
    std::vector<std::vector<std::uint32_t>> structures_; ///< by shard
    std::vector<std::vector<std::uint32_t>> blocks_of_;
    std::size_t structure_count_;
};

inline constexpr int most_shards = 10'000;

} // namespace fuelring
