// SPDX-License-Identifier: Apache-2.0

// Each part is repaired alone, then all are united: even-odd within an outline, where a crossing is
// an error of drawing, but not between parts, where an overlap is ground that both cover. The sum
// of the parts less their union is what was covered twice.
#include "geometry/geos.hpp"
#include "geometry/require.hpp"

#include <algorithm>

namespace fuelring {

RepairedFootprint repaired(const std::vector<RawPolygon>& parts)
{
    for (const RawPolygon& part : parts)
        for (const Loop& loop : part.loops)
            require(std::all_of(loop.begin(), loop.end(), [](Point p) { return is_local(p); }),
                    "repaired: a coordinate is not finite or too far off");
    RepairedFootprint result;
    ValidParts valid = valid_parts(parts);
    result.crossed_parts = valid.repaired;
    double sum_m2 = 0;
    for (const GeosGeometry& part : valid.parts)
        sum_m2 += area_of(part.get());
    const bool one_part = valid.parts.size() == 1;
    const GeosGeometry whole = united(std::move(valid.parts));
    if (!whole)
        return result;
    // A lone valid polygon is kept as it was read.
    result.footprint =
        footprint_of(parts.size() == 1 && valid.repaired == 0 ? parts : polygons_of(whole.get()));
    if (result.footprint.loops.empty())
        return result;
    result.inside = point_inside(whole.get());
    result.overlap_m2 = one_part ? 0 : std::max(sum_m2 - area_of(whole.get()), 0.0);
    return result;
}

} // namespace fuelring
