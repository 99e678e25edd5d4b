// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/units.hpp"

#include <cstdint>
#include <vector>

namespace fuelring::plan {

/// A conifer cell of a block: its number, its row and column there.
struct GrownCell {
    std::uint32_t block;
    std::uint32_t k;
    std::uint16_t row;
    std::uint16_t col;

    /// One number for block and k.
    std::uint64_t number() const { return (std::uint64_t{block} << 32) | k; }
};

/// Cells that one seed took in.
/// The seed is the first of `cells`; the others follow in the order in which they were taken.
struct Grown {
    Key seed_key = 0;
    std::int64_t seed_row = 0;
    std::int64_t seed_col = 0;
    ZoneId zone = no_zone;
    bool joins = false; ///< it came within a gap of a component that is kept
    std::vector<GrownCell> cells;
    /// What edges and ways join to them: cells of no kept component, some of these among them, and
    /// roots of kept ones, some more than once.
    std::vector<GrownCell> beside;
    std::vector<std::uint32_t> beside_kept;
    /// In conifer_unit_m2, and points in points_unit; of all cells.
    std::int64_t conifer = 0;
    std::int64_t points = 0;
};

/// Grows every component that is not kept from its best cell, each as if it were alone: the best
/// level first (an eighth of a doubling), then the nearest to the seed, until it is large enough;
/// from then on only cells that are worth the price. No further than 64 cells from the seed.
/// `kept` is by root. Those that come out large enough, or that reach a kept component, best seed
/// first.
/// Law: depends on the arguments alone, not on threads. Two of them may hold the same cells: who
/// gets these is the caller's to say. A heuristic: nothing bounds what it misses (see bounds.hpp).
std::vector<Grown> grow_from_seeds(const PlanGrid& grid, const Selection& selection,
                                   const UnitRules& rules, const Labelling& labelling,
                                   const std::vector<std::uint8_t>& kept,
                                   const ShareOut& share_out);

} // namespace fuelring::plan
