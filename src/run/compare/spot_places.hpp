// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/dissolve/structure_index.hpp"
#include "io/comparison/treatment_records_in.hpp"
#include "io/vector/box_index.hpp"
#include "run/compare/stage_change.hpp"

#include <cstddef>
#include <map>
#include <optional>
#include <vector>

namespace fuelring {

/// Where a spot lies: by ring, around all structures and around those of each neighbourhood.
struct SpotPlace {
    /// 0 under a roof, k within the k-th distance and no nearer one; none beyond all.
    using Ring = std::optional<std::size_t>;
    Ring ring{};
    std::map<std::size_t, std::size_t> ring_of_group{}; ///< by ChangeContext::group
};

/// Finds the rings that a spot lies in, as the account draws them: on slopes stretched, former
/// outlines of redrawn structures too. For one thread.
class SpotPlaces {
public:
    /// `members`: index_of_members(context). Both must outlive this.
    SpotPlaces(const ChangeContext& context, const StructureIndex& members);

    /// `on_grid`: units of the grid from the corner of cell (0, 0).
    /// Error: on an outline, to rounding, either side.
    SpotPlace place_of(Point on_grid) const;

private:
    const ChangeContext& context_;
    const StructureIndex& members_;
    BoxIndex boxes_;
};

} // namespace fuelring
