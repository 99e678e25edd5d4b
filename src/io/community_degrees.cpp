// SPDX-License-Identifier: Apache-2.0

// Longitudes and latitudes of structures, and whether they are on the ground at all.
#include "io/community_parts.hpp"
#include "io/vector_layer.hpp"

#include <fmt/format.h>

#include <cmath>

namespace fuelring {

namespace {

constexpr double same_place_on_return_m = 1e-3;
constexpr double larger_than_buildings_m = 10'000;

/// Places in degrees. Coming back must lead to the same place within a millimetre: far outside the
/// area of a grid PROJ gives numbers that mean nothing. `name_of(k)` is for the message.
template <typename NameOf>
std::vector<Point> in_degrees(const std::vector<Point>& places, const VectorLayer& layer,
                              const Crs& crs, NameOf&& name_of)
{
    std::vector<Point> there = places;
    Reprojection{crs, Crs::wgs84()}.apply(there);
    std::vector<Point> back = there;
    Reprojection{Crs::wgs84(), crs}.apply(back);
    for (std::size_t k = 0; k < places.size(); ++k) {
        const Point gap = back[k] - places[k];
        if (!(std::abs(gap.x) <= same_place_on_return_m &&
              std::abs(gap.y) <= same_place_on_return_m))
            throw layer.wrong(fmt::format("structure {} at ({:.0f}, {:.0f}) lies outside the area "
                                          "of {}",
                                          name_of(k), places[k].x, places[k].y, crs.name()),
                              "check its geometry, and inputs.structures.crs");
    }
    return there;
}

} // namespace

void set_degrees(std::vector<Structure>& structures, const VectorLayer& layer, const Crs& crs)
{
    std::vector<Point> places;
    places.reserve(structures.size());
    for (const Structure& structure : structures)
        places.push_back(structure.inside);
    const std::vector<Point> degrees =
        in_degrees(places, layer, crs, [&](std::size_t k) { return structures[k].id; });
    for (std::size_t k = 0; k < structures.size(); ++k) {
        structures[k].lon_deg = degrees[k].x;
        structures[k].lat_deg = degrees[k].y;
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
    in_degrees(ends, layer, analysis.crs, [&](std::size_t k) { return ids[k]; });
}

} // namespace fuelring
