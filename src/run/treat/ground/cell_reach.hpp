// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/inputs/inputs.hpp"
#include "run/schedule/tiles.hpp"

#include <fuelring/surface.hpp>

#include <algorithm>
#include <array>
#include <vector>

namespace fuelring {

/// Which rings and which roofs reach the cells of a block.
class CellReach {
public:
    /// Both arguments must outlive it.
    CellReach(const RingPlan& plan, const Inputs& inputs)
        : plan_(plan), inputs_(inputs), rings_(std::min(told_apart, plan.outer_m.size()))
    {}

    void begin(const CellRect& rect)
    {
        roofs_.begin(rect);
        for (std::size_t r = 0; r < rings_; ++r)
            within_[r].begin(rect);
    }
    void add(const Structure& s)
    {
        const Grid grid = inputs_.raster->grid().at_scale(s.map_scale);
        RingPlan near = plan_;
        near.outer_m.resize(rings_);
        near.weight.resize(rings_);
        RingOutlines outlines = ring_outlines(s.footprint, near, s.stretch);
        // From the widest ring inwards, each time without the outermost: one set of outlines
        // serves.
        for (std::size_t r = rings_; r > 0; --r) {
            const std::vector<double> points(r, 1 / grid.cell_area_m2());
            within_[r - 1].add(outlines, s.frame, grid, points);
            outlines.within.pop_back();
        }
        roofs_.add(outlines, s.frame, grid, {});
    }
    void finish()
    {
        roofs_.finish();
        for (std::size_t r = 0; r < rings_; ++r)
            within_[r].finish();
    }
    bool roof(std::int64_t row, std::int64_t col) const { return roofs_.reached(row, col); }
    std::uint8_t ring(std::int64_t row, std::int64_t col) const
    {
        std::size_t r = 0;
        while (r < rings_ && !within_[r].ring_reaches(row, col))
            ++r;
        return static_cast<std::uint8_t>(r);
    }

private:
    static constexpr std::size_t told_apart = 3; ///< the first rings

    const RingPlan& plan_;
    const Inputs& inputs_;
    std::size_t rings_;
    SurfaceTile roofs_;
    std::array<SurfaceTile, told_apart> within_;
};

} // namespace fuelring
