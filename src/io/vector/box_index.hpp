// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/geos.hpp"

#include <cstddef>
#include <vector>

namespace fuelring {

/// Finds the boxes that meet a box, in about log n looks: GEOS's tree of boxes packed by sorting in
/// x, then in y. For one thread. Source: Leutenegger, Lopez and Edgington 1997, STR: a simple and
/// efficient algorithm for R-tree packing.
class BoxIndex {
public:
    /// Box k is found as number k. Empty boxes are never found.
    /// The boxes are copied. Throws: std::bad_alloc.
    explicit BoxIndex(const std::vector<Box>& boxes);
    /// Of items, whose boxes box_of(item) gives.
    template <typename Items, typename BoxOf>
    BoxIndex(const Items& items, BoxOf&& box_of) : BoxIndex{boxes_of(items, box_of)}
    {}

    /// Numbers of the boxes that share a point with `box`, ascending.
    /// Unit: that of the boxes. A touch counts.
    std::vector<std::size_t> meeting(const Box& box) const;

private:
    template <typename Items, typename BoxOf>
    static std::vector<Box> boxes_of(const Items& items, BoxOf&& box_of)
    {
        std::vector<Box> boxes;
        boxes.reserve(items.size());
        for (const auto& item : items)
            boxes.push_back(box_of(item));
        return boxes;
    }

    struct TreeDestroy {
        void operator()(GEOSSTRtree* t) const noexcept { GEOSSTRtree_destroy_r(geos(), t); }
    };
    std::vector<std::size_t> numbers_;
    std::vector<GeosGeometry> rectangles_; ///< the tree looks at them
    std::unique_ptr<GEOSSTRtree, TreeDestroy> tree_;
};

} // namespace fuelring
