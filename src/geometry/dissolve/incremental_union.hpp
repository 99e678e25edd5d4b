// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/dissolve/neighbour_cover.hpp"
#include "geometry/dissolve/structure_index.hpp"
#include "geometry/dissolve/union_crossings.hpp"

#include <memory>
#include <optional>
#include <unordered_map>

namespace fuelring {

/// What one structure adds to the union of those before it.
/// Metres of the structure's own frame, interior to the left.
struct AddedRegion {
    /// `whole` spares callers the work that they have done on the structure's own outline.
    enum class Kind {
        nothing, ///< those before it cover all of its own
        whole,   ///< they cover none of it: `outline` is its own
        part
    };
    Kind kind = Kind::nothing;
    Outline outline; ///< in the structure's own frame, closed; empty for `nothing`
    /// `nudged`: its own outline at r (1 + 1e-9); `capsules`: all outlines tessellated, by GEOS.
    OutlineMethod method = OutlineMethod::exact;
};

/// Who comes before whom and may have ground in common with it, for all distances up to a widest
/// one: the unions of several distances ask it, and search once. For one thread.
class EarlierNeighbours {
public:
    /// `members` must outlive this.
    EarlierNeighbours(const StructureIndex& members, double widest_m)
        : members_(members), widest_m_(widest_m)
    {}

    /// Members before i that StructureIndex::near gives for i, rising; `same_group`: only those of
    /// its group. Requires: r_m is at most the widest.
    void of(std::size_t i, double r_m, bool stretched, bool same_group,
            std::vector<std::uint32_t>& found);

private:
    const StructureIndex& members_;
    double widest_m_;
    std::unordered_map<std::uint32_t, std::vector<std::uint32_t>> within_widest_;
    std::vector<std::uint32_t> near_; ///< scratch
};

/// The union of everything within r of many structures, one structure after another: the ground
/// within r of structure i and not within r of any before it. Such regions do not overlap, each is
/// closed and lies near its structure, and all together are the union: what is integrated over the
/// union (fuel of today, fuel of tomorrow) is the sum over them, counting nothing twice.
/// r = 0 unites the footprints themselves.
///
/// Holds what neighbours share between calls: an object is a matter of one thread. Results depend
/// on the members and r alone.
/// Source: src/geometry/dissolve/README.md
class IncrementalUnion {
public:
    /// `stretched`: rings as the members' stretch says, else round.
    /// `members` must outlive this. `neighbours`: shared with unions of other distances.
    IncrementalUnion(const StructureIndex& members, double r_m, bool stretched,
                     std::shared_ptr<EarlierNeighbours> neighbours = nullptr);

    /// What i adds to all before it.
    /// Throws: as outline_within; std::runtime_error with GEOS's reason where all else fails.
    AddedRegion among_all(std::size_t i);
    /// What i adds to those of its group before it; empty where that is the same as `among_all`.
    /// Law: the region holds that of `among_all`.
    std::optional<AddedRegion> among_group(std::size_t i);

private:
    /// The pieces of an outline that no single structure before its own covers, each with a ball
    /// that holds it.
    struct Own {
        std::vector<Piece> pieces;
        std::vector<Ball> balls;
        bool complete = true; ///< that is all of them
    };
    using Cache = std::unordered_map<std::uint32_t, Own>;

    Outline outline(std::size_t i, double r_m) const;
    const Own& own(std::size_t i, Cache& cache);
    AddedRegion region(std::size_t i, const std::vector<std::uint32_t>& before, Cache& cache);
    std::optional<AddedRegion> try_region(std::size_t i, double r_m, const Own& mine,
                                          const std::vector<std::uint32_t>& before, Cache& cache);

    const StructureIndex& members_;
    double r_m_;
    bool stretched_;
    Cache of_all_;
    Cache of_group_;
    std::shared_ptr<EarlierNeighbours> neighbours_;
    std::vector<std::uint32_t> before_; ///< those before the member asked about
    std::vector<std::uint32_t> before_in_group_;
    // Scratch.
    std::vector<std::uint32_t> earlier_;
    std::vector<Track> tracks_;
    std::vector<Piece> uncovered_;
};

} // namespace fuelring
