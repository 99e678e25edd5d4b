// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/units.hpp"

#include <cstdint>
#include <vector>

namespace fuelring::plan {

/// How a unit that is too large for one crew is laid out: cut along a lattice of squares of the
/// largest size, then pieces that share edges are united again as long as one crew can do them,
/// smallest first, so that few pieces pay the fixed cost. A piece below the smallest size goes to a
/// neighbour over a gap that has room for it, or stays out of the plan.
/// Law: pieces share no cell; each fits, is large enough and is joined by gaps within its squares.
/// Squares are those of the whole grid, so a unit far away changes no cut.
class CrewPieces {
public:
    /// `grid` must outlive this. Sides of squares: sqrt(rules.largest_m2), in whole cells.
    CrewPieces(const PlanGrid& grid, const UnitRules& rules);

    /// True where one crew can do it: not too much, and not too long.
    /// Requires: unit.conifer is set. Too long: over four sides of a square along an axis.
    bool fits(const Unit& unit) const;
    /// Pieces of a unit that does not fit, with their sums.
    /// Without cost and bridges. None where no piece reaches the smallest size.
    std::vector<Unit> pieces_of(const Unit& unit) const;

private:
    class Merger;
    void cut(const Unit& unit, std::int64_t rows, std::int64_t cols,
             std::vector<Unit>& pieces) const;
    bool is_short(const CellRect& box) const;

    const PlanGrid& grid_;
    double gap_m_;
    std::int64_t smallest_;
    std::int64_t largest_;
    std::int64_t cols_; ///< of a square of the largest size
    std::int64_t rows_;
};

} // namespace fuelring::plan
