// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/dissolve/incremental_union.hpp"
#include "unit/geometry/shapes.hpp"

#include <algorithm>
#include <cmath>
#include <deque>
#include <utility>

namespace fuelring {

inline constexpr Point cell_m{1, 1};

/// Structures in frames of their own, made from loops of one frame.
class Village {
public:
    void add(Footprint footprint, std::uint32_t group = 0, const RingStretch& stretch = {})
    {
        const Box box = bounds(footprint);
        const Point cell{std::floor(box.min.x), std::floor(box.min.y)};
        footprints_.push_back(moved(std::move(footprint), -1 * cell));
        stretches_.push_back(stretch);
        members_.push_back({&footprints_.back(), {cell, {1, 1}}, &stretches_.back(), group});
    }
    explicit Village(const Footprint& parts = {}, const RingStretch& stretch = {})
    {
        for (const Loop& loop : parts.loops)
            add({{loop}}, 0, stretch);
    }
    Village(const Village&) = delete;
    Village& operator=(const Village&) = delete;
    StructureIndex members() const { return {members_, cell_m}; }
    std::size_t size() const { return members_.size(); }

private:
    std::deque<Footprint> footprints_;
    std::deque<RingStretch> stretches_;
    std::vector<IndexedStructure> members_;
};

struct Sum {
    double area_m2 = 0;
    int not_exact = 0;
    double worst_closure_m = 0;
};

inline Sum united(const Village& village, double r_m)
{
    const StructureIndex members = village.members();
    IncrementalUnion regions{members, r_m, true};
    Sum sum;
    for (std::size_t i = 0; i < village.size(); ++i) {
        const AddedRegion added = regions.among_all(i);
        sum.area_m2 += area_m2(added.outline);
        sum.not_exact += added.method == OutlineMethod::exact ? 0 : 1;
        sum.worst_closure_m = std::max(sum.worst_closure_m, closure_error_m(added.outline));
    }
    return sum;
}

} // namespace fuelring
