// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/cog/run_rasters.hpp"
#include "io/cog/tile_store.hpp"

#include <map>
#include <optional>
#include <vector>

namespace fuelring {

/// The overviews of an earlier run's raster, which the next run takes over tile by tile.
/// Law: what `read` gives are the bytes that the earlier run packed, which were unpacked and
/// compared with the cells by it or by a run before it. Calls may come from several threads.
class KeptOverviews {
public:
    /// `tiles`: what that run kept of them, RasterOut::overviews(). `file` must outlive this.
    KeptOverviews(PackedBlocks& file, const std::vector<OverviewFacts>& tiles);

    /// Whether the file stores a tile there; false beyond its edge and above its last level.
    bool has(const TileKey& key) const;
    /// A tile's packed bytes, and its record but for its place; nothing where the file does not
    /// hold those bytes.
    std::optional<TileRecord> read(const TileKey& key, std::vector<std::byte>& packed) const;

private:
    PackedBlocks& file_;
    std::map<TileKey, OverviewFacts> tiles_;
};

} // namespace fuelring
