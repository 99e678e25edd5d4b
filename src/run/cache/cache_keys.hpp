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
/// on: `elevation` (digest of the file of heights, in hex), its band, CRS, unit and operation, the
/// analysis grid, how far slopes look, and every shape in order.
/// Requires: inputs.elevation is open.
RawDigest slopes_digest(const Inputs& inputs, const ElevationSource& source, const RingPlan& rings,
                        const std::string& elevation, std::span<const std::uint32_t> structures);

/// What the results of each tile depend on. The idea stands at the top of cache_keys.cpp.
/// Identity: a key is the SHA-256 of everything that the stage could look at, of the program too,
/// and of nothing else: not of paths, tile numbers, workers or the time.
/// Law: results under equal keys have equal bits. Unequal keys promise nothing.
/// Lists of structures rise and are in the key in that order. What the context refers to must
/// outlive this. The members after the constructor may be called from several threads.
class Dependencies {
public:
    /// Reads every block of the raster within reach of a structure, once.
    /// Throws: Error{input} when a block cannot be read; what context.check_cancelled throws.
    /// Requires: rings are stretched, as slopes ask for.
    Dependencies(const StageContext& context, const Inputs& inputs);

    /// Of the measures of structures, which are a tile's.
    RawDigest of_measures(std::span<const std::uint32_t> structures) const;
    /// Of what structures, which are a tile's, add to those before them: also of all whose ground
    /// may meet theirs, with the order and the neighbourhoods of these.
    RawDigest of_unions(std::span<const std::uint32_t> structures) const;
    /// Of the registration draws of structures, which are a tile's.
    /// Requires: the configuration has [uncertainty].
    RawDigest of_draws(std::span<const std::uint32_t> structures) const;
    /// Of the block of the surface at a tile, with the results of the structures whose rings may
    /// touch it. Of `results` (by structure) only what a square metre of conifer counts is in it.
    /// Throws: std::logic_error where no structure's rings reach the block.
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
