// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "batch/wkb.hpp"

#include <cstddef>

namespace fuelring::batch {

/// Footprints that others hold, read one by one. For any number of threads; refers to the view.
class Features {
public:
    /// Throws: std::invalid_argument for offsets that fall, or point behind what they count.
    explicit Features(const FootprintsView& view);

    std::size_t size() const { return size_; }
    /// The status is also not_finite here.
    RawFeature read(std::size_t feature) const;

private:
    RawFeature read_layout(const PolygonsView& view, std::size_t feature) const;

    const FootprintsView& view_;
    std::size_t size_ = 0;
};

/// The box around all vertices. Requires: there are some.
Box box_of(const std::vector<RawPolygon>& polygons);

} // namespace fuelring::batch
