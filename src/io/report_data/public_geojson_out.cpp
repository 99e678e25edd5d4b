// SPDX-License-Identifier: Apache-2.0

// Loops of a shape are filled even-odd: GDAL tells which are holes, and of what.
#include "io/report_data/public_geojson_out.hpp"

#include "base/caution.hpp"
#include "base/program/durable_file.hpp"
#include "io/gdal/reprojection.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <ogr_geometry.h>

#include <algorithm>
#include <cmath>
#include <memory>

namespace fuelring {

namespace {

using nlohmann::ordered_json;

constexpr double per_degree = 1e7; ///< steps of about a centimetre

/// A loop as a polygon in degrees.
std::unique_ptr<OGRPolygon> in_degrees(const Loop& loop, Point origin, const Reprojection& to)
{
    auto ring = std::make_unique<OGRLinearRing>();
    for (const Point corner : loop) {
        Point p = origin + corner;
        if (!to.apply(p))
            throw Error{Failure::input, "a neighbourhood has no place in WGS 84",
                        "neighbourhoods.geojson", "run fuelring map again"};
        ring->addPoint(p.x, p.y);
    }
    ring->closeRings();
    auto polygon = std::make_unique<OGRPolygon>();
    polygon->addRingDirectly(ring.release());
    return polygon;
}

ordered_json ring_json(const OGRLinearRing& ring, bool counter_clockwise)
{
    ordered_json places = ordered_json::array();
    for (int k = 0; k < ring.getNumPoints(); ++k)
        places.push_back({std::round(ring.getX(k) * per_degree) / per_degree,
                          std::round(ring.getY(k) * per_degree) / per_degree});
    if ((ring.isClockwise() != 0) == counter_clockwise)
        std::reverse(places.begin(), places.end());
    return places;
}

void add_polygons(const OGRGeometry& geometry, ordered_json& polygons)
{
    if (wkbFlatten(geometry.getGeometryType()) == wkbPolygon) {
        const OGRPolygon& polygon = *geometry.toPolygon();
        ordered_json rings = ordered_json::array();
        if (polygon.getExteriorRing())
            rings.push_back(ring_json(*polygon.getExteriorRing(), true));
        for (int k = 0; k < polygon.getNumInteriorRings(); ++k)
            rings.push_back(ring_json(*polygon.getInteriorRing(k), false));
        polygons.push_back(std::move(rings));
        return;
    }
    for (const OGRGeometry* part : *geometry.toGeometryCollection())
        add_polygons(*part, polygons);
}

/// Null where the members have no ground.
ordered_json geometry_json(const RunPicture& picture, const NeighbourhoodFigures& row,
                           const Reprojection& to)
{
    ordered_json polygons = ordered_json::array();
    for (const std::size_t member : row.members) {
        std::vector<OGRGeometry*> loops;
        for (const Loop& loop : picture.neighbourhoods.shapes[member])
            loops.push_back(in_degrees(loop, picture.origin, to).release());
        if (loops.empty())
            continue;
        int is_valid = 0;
        const std::unique_ptr<OGRGeometry> whole{OGRGeometryFactory::organizePolygons(
            loops.data(), static_cast<int>(loops.size()), &is_valid, nullptr)};
        add_polygons(*whole, polygons);
    }
    if (polygons.empty())
        return nullptr;
    return {{"type", "MultiPolygon"}, {"coordinates", polygons}};
}

ordered_json properties_json(const RunPicture& picture, const NeighbourhoodFigures& row)
{
    const auto number = [](const auto& value) {
        return value ? ordered_json(*value) : ordered_json();
    };
    const auto rounded = [](std::optional<double> value) {
        constexpr double per_point = 1e4; // as in the CSV
        return value ? std::optional{std::round(*value * per_point) / per_point} : value;
    };
    return {{"neighbourhood", row.name},
            {"rank", number(row.rank)},
            {"structures", row.structures},
            {"structures_measured", row.measured},
            {fmt::format("structures_known_within_{:g}m", picture.near_m), row.known_near},
            {fmt::format("structures_conifer_within_{:g}m", picture.near_m), row.near},
            {"mean_exposure", number(rounded(row.mean_exposure))},
            {"imagery_date", picture.imagery_date},
            {"caution", caution}};
}

} // namespace

void write_public_geojson(const std::filesystem::path& path, const RunFolder& run,
                          const RunPicture& picture, const std::vector<NeighbourhoodFigures>& rows)
{
    const Reprojection to_degrees{run.analysis.crs, Crs::wgs84(), run.analysis.area};
    ordered_json features = ordered_json::array();
    for (const NeighbourhoodFigures& row : rows)
        if (ordered_json geometry = geometry_json(picture, row, to_degrees); !geometry.is_null())
            features.push_back({{"type", "Feature"},
                                {"properties", properties_json(picture, row)},
                                {"geometry", std::move(geometry)}});
    const ordered_json all{{"type", "FeatureCollection"}, {"features", features}};
    write_durably(path, all.dump(-1, ' ', false, ordered_json::error_handler_t::replace) + "\n");
}

} // namespace fuelring
