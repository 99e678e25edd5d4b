// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/geos.hpp"

#include <cstddef>
#include <vector>

namespace fuelring {

/// Finds the boxes that meet a box. For one thread.
class BoxIndex {
public:
    /// Box k is found as number k. Empty boxes are never found.
    explicit BoxIndex(const std::vector<Box>& boxes);

    /// Numbers of the boxes that share a point with `box`, ascending.
    std::vector<std::size_t> meeting(const Box& box) const;

private:
    struct TreeDestroy {
        void operator()(GEOSSTRtree* t) const noexcept { GEOSSTRtree_destroy_r(geos(), t); }
    };
    std::vector<std::size_t> numbers_;
    std::vector<GeosGeometry> rectangles_; ///< the tree looks at them
    std::unique_ptr<GEOSSTRtree, TreeDestroy> tree_;
};

} // namespace fuelring
