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
class OnGround {
public:
    OnGround(const VectorLayer& layer, const Crs& crs)
        : layer_{layer}, crs_{crs},
          to_geographic_{crs, crs.geographic()}, back_{to_geographic_.inverse()}
    {}

    void require(Point place, const std::string& structure) const
    {
        Point p = place;
        const bool finite = to_geographic_.apply(p) && back_.apply(p);
        const Point gap = p - place;
        if (!(finite && std::abs(gap.x) <= same_place_on_return_m &&
              std::abs(gap.y) <= same_place_on_return_m))
            throw layer_.wrong(fmt::format("structure {} at ({:.0f}, {:.0f}) lies outside the area "
                                           "of {}",
                                           structure, place.x, place.y, crs_.name()),
                               "check its geometry, and inputs.structures.crs");
    }

private:
    const VectorLayer& layer_;
    const Crs& crs_;
    Reprojection to_geographic_, back_;
};

} // namespace

void set_degrees(std::vector<Structure>& structures, const VectorLayer& layer,
                 const AnalysisGrid& analysis)
{
    const OnGround ground{layer, analysis.crs};
    const Reprojection to_wgs84{analysis.crs, Crs::wgs84(), analysis.area};
    for (Structure& structure : structures) {
        Point place = structure.inside;
        ground.require(place, structure.id);
        if (!to_wgs84.apply(place))
            throw layer.wrong(fmt::format("structure {} has no longitude and latitude by {}",
                                          structure.id, to_wgs84.operation().name),
                              "check its geometry, and inputs.structures.crs");
        structure.lon_deg = place.x;
        structure.lat_deg = place.y;
    }
}

void require_ends_on_ground(const std::vector<Structure>& structures, const VectorLayer& layer,
                            const AnalysisGrid& analysis)
{
    const OnGround on_ground{layer, analysis.crs};
    for (const Structure& structure : structures) {
        const Box box = bounds(structure.footprint);
        if (std::max(box.max.x - box.min.x, box.max.y - box.min.y) < larger_than_buildings_m)
            continue;
        const Grid ground = analysis.grid.at_scale(structure.map_scale);
        for (const Point corner : {box.min, box.max})
            on_ground.require(ground.to_map(structure.frame, corner), structure.id);
    }
}

} // namespace fuelring
