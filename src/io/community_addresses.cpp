// SPDX-License-Identifier: Apache-2.0

// Joining addresses to structures: the footprint that holds the point, else the nearest wall
// within reach; equal distances by id. Structures are sorted by id, so the lower number wins.
#include "io/community_findings.hpp"
#include "io/community_parts.hpp"
#include "io/vector_index.hpp"
#include "io/vector_layer.hpp"
#include "io/vector_outline.hpp"

#include <fmt/format.h>
#include <ogr_feature.h>
#include <ogr_geometry.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace fuelring {

namespace {

/// Walls whose distances differ by less are equally near.
constexpr double same_distance_m = 1e-9;

double distance_to_edge(Point a, Point b, Point p)
{
    const Point along = b - a;
    const double t = std::clamp(dot(p - a, along) / dot(along, along), 0.0, 1.0);
    const Point gap = p - (a + t * along);
    return std::hypot(gap.x, gap.y);
}

double distance_m(const Footprint& footprint, Point p)
{
    if (contains(footprint, p))
        return 0;
    double least = std::numeric_limits<double>::infinity();
    for (const Loop& loop : footprint.loops)
        for (std::size_t k = 0; k < loop.size(); ++k)
            least = std::min(least, distance_to_edge(loop[k], loop[(k + 1) % loop.size()], p));
    return least;
}

/// Structures near a point.
class NearbyWalls {
public:
    NearbyWalls(const std::vector<Structure>& structures, const Grid& grid)
        : structures_{structures}, grid_{grid}, index_{boxes(structures, grid)}
    {
        for (const Structure& structure : structures)
            largest_scale_ =
                std::max({largest_scale_, structure.map_scale.x, structure.map_scale.y});
    }

    std::optional<std::size_t> nearest(Point map, double within_m) const
    {
        const Point at = grid_.to_local({}, map);
        const double reach_units = (within_m + box_slack_m) * largest_scale_;
        const Point reach{reach_units, reach_units};
        double least = within_m + same_distance_m;
        std::vector<std::pair<double, std::size_t>> walls;
        for (const std::size_t k : index_.meeting({at - reach, at + reach})) {
            const Structure& structure = structures_[k];
            const Grid ground = grid_.at_scale(structure.map_scale);
            const double d = distance_m(structure.footprint, ground.to_local(structure.frame, map));
            walls.emplace_back(d, k);
            least = std::min(least, d);
        }
        for (const auto& [d, k] : walls) // by number, hence by id
            if (d <= within_m && d <= least + same_distance_m)
                return k;
        return std::nullopt;
    }

private:
    static constexpr double box_slack_m = 1e-3; ///< boxes are shifted from frame to frame

    static std::vector<Box> boxes(const std::vector<Structure>& structures, const Grid& grid)
    {
        std::vector<Box> all;
        all.reserve(structures.size());
        for (const Structure& structure : structures) {
            const ToGrid to_grid{structure.frame, structure.map_scale, grid};
            all.push_back(to_grid(bounds(structure.footprint)));
        }
        return all;
    }

    const std::vector<Structure>& structures_;
    const Grid& grid_;
    BoxIndex index_; ///< in units of the grid
    double largest_scale_ = 0;
};

/// The one point of a geometry.
std::optional<Point> point_of(const OGRGeometry* geometry)
{
    if (!geometry || geometry->IsEmpty())
        return std::nullopt;
    const OGRwkbGeometryType type = wkbFlatten(geometry->getGeometryType());
    if (type == wkbMultiPoint && geometry->toMultiPoint()->getNumGeometries() == 1)
        return point_of(geometry->toMultiPoint()->getGeometryRef(0));
    if (type != wkbPoint)
        return std::nullopt;
    return Point{geometry->toPoint()->getX(), geometry->toPoint()->getY()};
}

} // namespace

std::vector<Address> read_addresses(const AddressSource& source,
                                    const std::vector<Structure>& structures,
                                    const AnalysisGrid& analysis, const Remarks& remarks)
{
    VectorLayer layer{{"inputs.addresses", source.path, source.layer, source.crs,
                       source.remote_allowed, false, source.encoding}};
    const Reprojection to_analysis = layer.way_to(analysis.crs, analysis.area);
    remarks.note_crs(layer.layer_crs(analysis.crs, to_analysis));
    const int column = layer.column(source.text, "text");
    layer.read_only_columns({column});
    const NearbyWalls walls{structures, analysis.grid};
    Finding without_point;
    Finding not_joined;
    std::vector<Address> addresses;
    layer.for_each([&](const OGRFeature& feature) {
        Address address;
        address.text = layer.text_of(feature, column).value_or("");
        const std::string label =
            address.text.empty() ? fmt::format("feature {}", feature.GetFID()) : address.text;
        const std::optional<Point> at = point_of(feature.GetGeometryRef());
        if (!at) {
            without_point.add(label);
            return;
        }
        address.at = *at;
        if (!std::isfinite(at->x) || !std::isfinite(at->y) || !to_analysis.apply(address.at) ||
            !is_place(address.at))
            throw layer.wrong_feature(feature.GetFID(),
                                      "the point is no finite place in the raster's grid",
                                      "check the geometry, and inputs.addresses.crs");
        address.structure = walls.nearest(address.at, source.join_within_m);
        if (!address.structure)
            not_joined.add(label, std::numeric_limits<std::size_t>::max());
        addresses.push_back(std::move(address));
    });
    if (addresses.empty())
        throw layer.wrong("the layer holds no address points",
                          "check inputs.addresses.layer: addresses are points");
    without_point.report(remarks.warnings, "addresses_without_point",
                         "addresses are no single points and are left out");
    not_joined.report(remarks.warnings, "addresses_not_joined",
                      fmt::format("addresses join no structure within {} m", source.join_within_m));
    return addresses;
}

} // namespace fuelring
