// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/digest.hpp"
#include "run/cache/input_digests.hpp"
#include "run/inputs/inputs.hpp"
#include "run/schedule/stage_context.hpp"
#include "run/schedule/tiles.hpp"

#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// What the slopes of structures, which are a tile's and whose rings are not yet stretched, depend
/// on beside `elevation`, the digest of the file of heights.
RawDigest slopes_digest(const Inputs& inputs, const ElevationSource& source, const RingPlan& rings,
                        const std::string& elevation, std::span<const std::uint32_t> structures);

/// What the results of each tile depend on. The idea stands at the top of cache_keys.cpp.
class Dependencies {
public:
    /// Reads every block of the raster within reach of a structure, once.
    /// Throws: Error{input} when a block cannot be read.
    Dependencies(const StageContext& context, const Inputs& inputs);

    /// Of the measures of structures, which are a tile's.
    RawDigest of_measures(std::span<const std::uint32_t> structures) const;
    /// Of what structures, which are a tile's, add to those before them.
    RawDigest of_unions(std::span<const std::uint32_t> structures) const;
    /// Of the registration draws of structures, which are a tile's.
    /// Requires: the configuration has [uncertainty].
    RawDigest of_draws(std::span<const std::uint32_t> structures) const;
    /// Of the block of the surface at a tile, with the results of the structures whose rings may
    /// touch it.
    RawDigest of_surface(const TileIndex::Tile& block, std::span<const std::uint32_t> structures,
                         const std::vector<StructureResult>& results) const;

private:
    void digest_blocks(const StageContext& context);
    void digest_structures(const StageContext& context);
    RawDigest seen_by(std::size_t structure, double moved_m) const;
    RawDigest with_parcels(std::size_t structure, const RawDigest& seen) const;
    std::vector<std::uint32_t> neighbours_of(std::span<const std::uint32_t> structures) const;

    const Community& community_;
    const RingPlan& rings_;
    const Grid& grid_;
    double widest_m_;
    std::optional<UncertaintyPlan> uncertainty_;
    TileIndex around_;      ///< structures by block that their reach touches
    RawDigest common_;      ///< what every result depends on
    double most_scale_ = 1; ///< of all structures; tells unions how far to look
    double most_stretch_ = 1;
    std::vector<RawDigest> blocks_; ///< by tile of `around_`: the fuel there
    /// Half a digest tells millions apart as surely.
    using ShortDigest = std::array<unsigned char, 16>;
    static ShortDigest shortened(const RawDigest& digest);
    std::vector<ShortDigest> shapes_; ///< by structure: outline, place, rings' stretch
    std::vector<ShortDigest> seen_;   ///< by structure: its shape, fuel and parcels in its reach
    std::vector<ShortDigest> seen_shifted_; ///< the same, moved by the largest shift
};

} // namespace fuelring
