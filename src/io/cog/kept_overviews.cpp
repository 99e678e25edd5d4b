// SPDX-License-Identifier: Apache-2.0
#include "io/cog/kept_overviews.hpp"

namespace fuelring {

KeptOverviews::KeptOverviews(PackedBlocks& file, const std::vector<OverviewFacts>& tiles)
    : file_(file)
{
    for (const OverviewFacts& tile : tiles)
        tiles_.emplace(TileKey{tile.level, tile.row, tile.col}, tile);
}

bool KeptOverviews::has(const TileKey& key) const
{
    return file_.has(key.level, key.col, key.row);
}

std::optional<TileRecord> KeptOverviews::read(const TileKey& key,
                                              std::vector<std::byte>& packed) const
{
    const auto found = tiles_.find(key);
    if (found == tiles_.end() || !file_.read(key.level, key.col, key.row, packed) ||
        checksum_of(packed) != found->second.packed_checksum)
        return std::nullopt;
    TileRecord record;
    record.checksum = found->second.checksum;
    record.kept = true;
    return record;
}

} // namespace fuelring
