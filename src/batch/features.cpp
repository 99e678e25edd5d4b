// SPDX-License-Identifier: Apache-2.0
#include "batch/features.hpp"

#include "geometry/require.hpp"

#include <algorithm>

namespace fuelring::batch {

namespace {

constexpr double farthest_m = 1e8;

void require_rising(const OffsetsView& offsets, std::size_t counted, const char* what)
{
    require(offsets.size() > 0, what);
    std::int64_t last = 0;
    for (std::size_t k = 0; k < offsets.size(); ++k) {
        require(offsets[k] >= last, what);
        last = offsets[k];
    }
    require(static_cast<std::uint64_t>(last) <= counted, what);
}

std::size_t parts_of(const OffsetsView& offsets)
{
    return offsets.size() - 1;
}

/// How many features there are, once the offsets are known to be sound.
std::size_t checked_size(const PolygonsView& view)
{
    require_rising(view.rings, view.coordinates,
                   "footprints: offsets of rings do not rise, or point behind the coordinates");
    require_rising(view.polygons, parts_of(view.rings),
                   "footprints: offsets of polygons do not rise, or point behind the rings");
    if (view.features.size() == 0)
        return parts_of(view.polygons);
    require_rising(view.features, parts_of(view.polygons),
                   "footprints: offsets of features do not rise, or point behind the polygons");
    return parts_of(view.features);
}

bool has_vertices(const std::vector<RawPolygon>& polygons)
{
    return std::any_of(polygons.begin(), polygons.end(), [](const RawPolygon& polygon) {
        return std::any_of(polygon.loops.begin(), polygon.loops.end(),
                           [](const Loop& loop) { return !loop.empty(); });
    });
}

bool is_placed(const std::vector<RawPolygon>& polygons)
{
    for (const RawPolygon& polygon : polygons)
        for (const Loop& loop : polygon.loops)
            for (const Point p : loop)
                if (!is_local(p, farthest_m)) // NaN is not
                    return false;
    return true;
}

} // namespace

Box box_of(const std::vector<RawPolygon>& polygons)
{
    Box box = Box::nothing();
    for (const RawPolygon& polygon : polygons)
        for (const Loop& loop : polygon.loops)
            for (const Point p : loop)
                box.take_in(p);
    return box;
}

Features::Features(const FootprintsView& view) : view_(view)
{
    if (const auto* wkb = std::get_if<WkbView>(&view))
        size_ = wkb->features.size();
    else
        size_ = checked_size(std::get<PolygonsView>(view));
}

RawFeature Features::read_layout(const PolygonsView& view, std::size_t feature) const
{
    const bool single = view.features.size() == 0;
    const auto at = static_cast<std::int64_t>(feature);
    const std::int64_t first = single ? at : view.features[feature];
    const std::int64_t last = single ? at + 1 : view.features[feature + 1];
    RawFeature raw;
    for (auto p = static_cast<std::size_t>(first); p < static_cast<std::size_t>(last); ++p) {
        RawPolygon& polygon = raw.polygons.emplace_back();
        for (auto r = static_cast<std::size_t>(view.polygons[p]);
             r < static_cast<std::size_t>(view.polygons[p + 1]); ++r) {
            Loop& loop = polygon.loops.emplace_back();
            for (auto c = static_cast<std::size_t>(view.rings[r]);
                 c < static_cast<std::size_t>(view.rings[r + 1]); ++c)
                loop.push_back({view.x[c * view.stride], view.y[c * view.stride]});
        }
    }
    return raw;
}

RawFeature Features::read(std::size_t feature) const
{
    const auto* wkb = std::get_if<WkbView>(&view_);
    RawFeature raw = wkb ? read_wkb(wkb->features[feature])
                         : read_layout(std::get<PolygonsView>(view_), feature);
    if (raw.status == FeatureStatus::ok && !has_vertices(raw.polygons))
        raw.status = FeatureStatus::empty;
    if (raw.status == FeatureStatus::ok && !is_placed(raw.polygons))
        raw.status = FeatureStatus::not_finite;
    return raw;
}

} // namespace fuelring::batch
