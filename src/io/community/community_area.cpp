// SPDX-License-Identifier: Apache-2.0
#include "io/community/community_area.hpp"

#include "io/vector/vector_layer.hpp"
#include "io/vector/vector_outline.hpp"

#include <ogr_feature.h>

#include <algorithm>
#include <utility>

namespace fuelring {

namespace {

/// Even-odd over all loops, so that holes are outside whichever way they turn.
bool is_inside(const RawPolygon& polygon, Point p)
{
    bool inside = false;
    for (const Loop& loop : polygon.loops)
        for (std::size_t k = 0; k < loop.size(); ++k) {
            const Point a = loop[k];
            const Point b = loop[(k + 1) % loop.size()];
            if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) * ((b.x - a.x) / (b.y - a.y)))
                inside = !inside;
        }
    return inside;
}

} // namespace

CommunityArea::CommunityArea(const AreaSource& source)
{
    if (source.box) {
        const auto& [west, south, east, north] = *source.box;
        crs_ = source.crs.empty() ? Crs::wgs84()
                                  : Crs::from_user_input(source.crs, "community.area.crs");
        parts_.push_back({{{west, south}, {east, north}},
                          {{{{west, south}, {east, south}, {east, north}, {west, north}}}}});
        return;
    }
    VectorLayer layer{"community.area", source};
    layer.require_polygons();
    layer.select({});
    crs_ = layer.crs();
    layer.for_each([&](const OGRFeature& feature) {
        for (RawPolygon& polygon : raw_outline(feature.GetGeometryRef()).polygons) {
            Box box = Box::nothing();
            for (const Loop& loop : polygon.loops)
                for (const Point p : loop)
                    box.take_in(p);
            parts_.push_back({box, std::move(polygon)});
        }
    });
    if (parts_.empty())
        throw layer.wrong("the layer has no polygon", "check community.area.layer and where");
}

bool CommunityArea::holds(Point p) const
{
    return std::any_of(parts_.begin(), parts_.end(), [p](const Part& part) {
        return part.box.meets({p, p}) && is_inside(part.polygon, p);
    });
}

} // namespace fuelring
