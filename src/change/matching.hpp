// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace fuelring {

/// How a structure of one run is found in the other.
enum class MatchKind {
    same,    ///< same id, same outline
    redrawn, ///< same id, outlines that share ground but differ
    renamed, ///< another id, outlines that share most of their ground
    added,   ///< only in AFTER
    removed, ///< only in BEFORE
};
const char* name_of(MatchKind kind);

/// Ground that a structure of BEFORE and one of AFTER share.
struct SharedGround {
    std::size_t before = 0;
    std::size_t after = 0;
    double shared_m2 = 0;
    bool same_outline = false;
};

/// Indices of the two runs; one is empty for what was added or removed.
struct StructureMatch {
    std::optional<std::size_t> before;
    std::optional<std::size_t> after;
    MatchKind kind = MatchKind::same;

    bool in_both() const { return before && after; }
};

/// A structure as matching sees it.
struct MatchCandidate {
    std::string id;
    double footprint_m2 = 0;
};

/// Outlines that share at least this much of the ground that either covers are one structure under
/// two ids. Planning default of this project.
inline constexpr double least_shared_frac = 0.5;

/// Matches the structures of two runs, each with one of the other at most: first by id where the
/// outlines share ground (an id that moved to other ground was given again), then by outlines that
/// share at least `least_shared_frac` of what either covers, the largest share first, ties in the
/// order of the structures. The rest was added or removed.
/// Shape: `shared` names every pair that shares ground. Result: AFTER's structures in their order,
/// then those that were removed, in theirs.
/// Law: with the runs exchanged, the pairs are the same ones.
std::vector<StructureMatch> match_structures(std::span<const MatchCandidate> before,
                                             std::span<const MatchCandidate> after,
                                             std::span<const SharedGround> shared);

} // namespace fuelring
