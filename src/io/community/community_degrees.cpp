// SPDX-License-Identifier: Apache-2.0

// Longitudes and latitudes of structures, and whether they are on the ground at all.
#include "io/community/community_parts.hpp"
#include "io/vector/vector_layer.hpp"

#include <fmt/format.h>

#include <cmath>

namespace fuelring {

namespace {

constexpr double same_place_on_return_m = 1e-3;
constexpr double larger_than_buildings_m = 10'000;

/// Places must be on the ground of a CRS: coming back from the degrees of its own datum must lead
/// to the same place within a millimetre. Far outside the area of a grid PROJ gives numbers that
/// mean nothing. (Shifts of datums are left out: their inverses are good to a centimetre only.)
/// `name_of(k)` is for the message.
template <typename NameOf>
void require_on_ground(const std::vector<Point>& places, const VectorLayer& layer, const Crs& crs,
                       NameOf&& name_of)
{
    const Reprojection to_geographic{crs, crs.geographic()};
    const Reprojection back = to_geographic.inverse();
    for (std::size_t k = 0; k < places.size(); ++k) {
        Point p = places[k];
        const bool finite = to_geographic.apply(p) && back.apply(p);
        const Point gap = p - places[k];
        if (!(finite && std::abs(gap.x) <= same_place_on_return_m &&
              std::abs(gap.y) <= same_place_on_return_m))
            throw layer.wrong(fmt::format("structure {} at ({:.0f}, {:.0f}) lies outside the area "
                                          "of {}",
                                          name_of(k), places[k].x, places[k].y, crs.name()),
                              "check its geometry, and inputs.structures.crs");
    }
}

} // namespace

void set_degrees(std::vector<Structure>& structures, const VectorLayer& layer,
                 const AnalysisGrid& analysis)
{
    std::vector<Point> places;
    places.reserve(structures.size());
    for (const Structure& structure : structures)
        places.push_back(structure.inside);
    require_on_ground(places, layer, analysis.crs, [&](std::size_t k) { return structures[k].id; });
    const Reprojection to_wgs84{analysis.crs, Crs::wgs84(), analysis.area};
    for (std::size_t k = 0; k < structures.size(); ++k) {
        if (!to_wgs84.apply(places[k]))
            throw layer.wrong(fmt::format("structure {} has no longitude and latitude by {}",
                                          structures[k].id, to_wgs84.operation().name),
                              "check its geometry, and inputs.structures.crs");
        structures[k].lon_deg = places[k].x;
        structures[k].lat_deg = places[k].y;
    }
}

void require_ends_on_ground(const std::vector<Structure>& structures, const VectorLayer& layer,
                            const AnalysisGrid& analysis)
{
    std::vector<Point> ends;
    std::vector<std::string> ids;
    for (const Structure& structure : structures) {
        const Box box = bounds(structure.footprint);
        if (std::max(box.max.x - box.min.x, box.max.y - box.min.y) < larger_than_buildings_m)
            continue;
        const Grid ground = analysis.grid.at_scale(structure.map_scale);
        for (const Point corner : {box.min, box.max}) {
            ends.push_back(ground.to_map(structure.frame, corner));
            ids.push_back(structure.id);
        }
    }
    require_on_ground(ends, layer, analysis.crs, [&](std::size_t k) { return ids[k]; });
}

} // namespace fuelring
