// SPDX-License-Identifier: Apache-2.0
#include "io/vector/box_index.hpp"

#include <algorithm>
#include <new>

namespace fuelring {

namespace {

/// The tree takes its extent alone.
GeosGeometry rectangle(const Box& box)
{
    GeosGeometry g{GEOSGeom_createRectangle_r(geos(), box.min.x, box.min.y, box.max.x, box.max.y)};
    if (!g)
        throw std::bad_alloc{};
    return g;
}

} // namespace

BoxIndex::BoxIndex(const std::vector<Box>& boxes)
    : numbers_(boxes.size()), tree_{GEOSSTRtree_create_r(geos(), 10)}
{
    rectangles_.reserve(boxes.size());
    for (std::size_t k = 0; k < boxes.size(); ++k) {
        numbers_[k] = k;
        if (boxes[k].min.x > boxes[k].max.x || boxes[k].min.y > boxes[k].max.y)
            continue;
        rectangles_.push_back(rectangle(boxes[k]));
        GEOSSTRtree_insert_r(geos(), tree_.get(), rectangles_.back().get(), &numbers_[k]);
    }
    // A tree is built by its first query; without boxes there is nothing to ask.
    if (rectangles_.empty())
        tree_.reset();
}

std::vector<std::size_t> BoxIndex::meeting(const Box& box) const
{
    std::vector<std::size_t> found;
    if (!tree_)
        return found;
    const auto note = [](void* number, void* into) {
        static_cast<std::vector<std::size_t>*>(into)->push_back(*static_cast<std::size_t*>(number));
    };
    GEOSSTRtree_query_r(geos(), tree_.get(), rectangle(box).get(), note, &found);
    std::sort(found.begin(), found.end());
    return found;
}

} // namespace fuelring
