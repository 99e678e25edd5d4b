// SPDX-License-Identifier: Apache-2.0

// One operation is chosen when the layer is opened, for the area of the community; every place goes
// through it, also where PROJ would choose another for that place alone. So neighbours stay
// neighbours, and what was done to the layer can be told in one sentence.
#include "io/vector/placed_layer.hpp"

#include "io/gdal/open.hpp"

#include <fmt/format.h>
#include <ogr_feature.h>

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

bool is_finite(Point p)
{
    return std::isfinite(p.x) && std::isfinite(p.y);
}

} // namespace

PlacedLayer::PlacedLayer(std::string key, const LayerSource& source, const AnalysisGrid& analysis,
                         CrsNeed need)
    : VectorLayer{std::move(key), source, need}, analysis_{analysis}
{
    if (!crs().empty())
        way_.emplace(way_to(analysis.crs, analysis.area));
}

const Reprojection& PlacedLayer::way() const
{
    if (!way_) // says that there is no CRS, and how to give one
        crs_of_input(nullptr, "", source().path, key_of("crs"));
    return way_.value();
}

LayerCrs PlacedLayer::layer_crs() const
{
    const Crs& to = analysis_.crs;
    std::string origin = crs_by_file() ? "by the file" : "by the configuration";
    if (crs_by_file() && !source().crs.empty() &&
        !Crs::from_user_input(source().crs, key_of("crs")).same_as(crs()))
        origin +=
            fmt::format(" ({} = \"{}\" is for files that have none)", key_of("crs"), source().crs);
    std::string done = "the same as the raster's";
    if (!crs().same_as(to))
        done = fmt::format("reprojected to {} {}", to.name(), way().operation().in_words());
    else if (crs().name() != to.name())
        done = fmt::format("taken as the same as {}: only the name or the order of axes differs",
                           to.name());
    return {key(), source().path, crs(),
            fmt::format("{}: {} {}, {}", key(), crs().name(), origin, done), way().operation()};
}

bool PlacedLayer::place(Point& p) const
{
    return is_finite(p) && way().apply(p) && is_place(p);
}

bool PlacedLayer::place(std::vector<RawPolygon>& polygons) const
{
    for (RawPolygon& polygon : polygons)
        for (Loop& loop : polygon.loops)
            for (Point& p : loop)
                if (!place(p))
                    return false;
    return true;
}

Error PlacedLayer::not_placed(const OGRFeature& feature, const std::string& what) const
{
    return wrong_feature(feature, what + " cannot be placed in the raster's grid",
                         "check the geometry, and " + key_of("crs"));
}

RawOutline PlacedLayer::outline_of(const OGRFeature& feature) const
{
    RawOutline outline = raw_outline(feature.GetGeometryRef());
    if (!place(outline.polygons))
        throw not_placed(feature, "a vertex");
    return outline;
}

std::vector<RawPolygon> PlacedLayer::polygons_on_grid(const OGRFeature& feature) const
{
    std::vector<RawPolygon> polygons = outline_of(feature).polygons;
    to_local(polygons, {}, analysis_.grid);
    return polygons;
}

Footprint PlacedLayer::clean_on_grid(const OGRFeature& feature, bool& repaired) const
{
    const std::vector<RawPolygon> polygons = polygons_on_grid(feature);
    return shaping(feature, "repair the polygon, or filter it out", [&] {
        const GeosGeometry united = geos_union(polygons, repaired);
        if (!united)
            return Footprint{};
        // A union may write other vertices than a neighbour has.
        return footprint_of(polygons.size() == 1 && !repaired ? polygons
                                                              : polygons_of(united.get()));
    });
}

double ground_m2(const std::vector<RawPolygon>& polygons, const AnalysisGrid& analysis)
{
    double sum = 0;
    for (const RawPolygon& polygon : polygons) {
        const Footprint outline = footprint_of({polygon});
        const Box box = bounds(outline);
        const Point middle = 0.5 * (box.min + box.max);
        sum += area_m2(outline) / analysis.ground.at(analysis.grid.to_map({}, middle)).areal();
    }
    return sum;
}

} // namespace fuelring
