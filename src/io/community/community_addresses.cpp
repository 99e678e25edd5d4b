// SPDX-License-Identifier: Apache-2.0

// Joining addresses to structures: the footprint that holds the point, else the nearest wall
// within reach; equal distances by id. Structures are sorted by id, so the lower number wins.
#include "io/community/address_points.hpp"
#include "io/community/community_area.hpp"
#include "io/community/community_parts.hpp"
#include "io/vector/box_index.hpp"

#include <fmt/format.h>
#include <ogr_feature.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <string_view>

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
        : structures_{structures}, grid_{grid},
          index_{structures, [&grid](const Structure& s) {
                     return FrameOnGrid{s.frame, s.map_scale, grid}.to_grid(bounds(s.footprint));
                 }}
    {
        for (const Structure& structure : structures)
            largest_scale_ =
                std::max({largest_scale_, structure.map_scale.x, structure.map_scale.y});
    }

    std::optional<std::size_t> nearest(Point map, double within_m) const
    {
        double least = within_m + same_distance_m;
        std::vector<std::pair<double, std::size_t>> walls;
        for (const std::size_t k : meeting(map, within_m)) {
            walls.emplace_back(distance_to(k, map), k);
            least = std::min(least, walls.back().first);
        }
        // Walls that are as near but for rounding are equally near; among them the id decides, not
        // the last bit.
        for (const auto& [d, k] : walls) // by number, hence by id
            if (d <= within_m && d <= least + same_distance_m)
                return k;
        return std::nullopt;
    }

    /// Whether the box of a structure comes so near.
    bool any_within(Point map, double within_m) const { return !meeting(map, within_m).empty(); }

    /// From the nearest wall; `within_m` where none is so near.
    double least_distance_m(Point map, double within_m) const
    {
        double least = within_m;
        for (const std::size_t k : meeting(map, within_m))
            least = std::min(least, distance_to(k, map));
        return least;
    }

    /// Of all structures, in the CRS of the grid.
    Box extent() const
    {
        Box all = Box::nothing();
        for (const Structure& structure : structures_)
            all.take_in(structure.inside);
        return all;
    }

private:
    static constexpr double box_slack_m = 1e-3; ///< boxes are shifted from frame to frame

    std::vector<std::size_t> meeting(Point map, double within_m) const
    {
        const Point at = grid_.to_local({}, map);
        const double reach_units = (within_m + box_slack_m) * largest_scale_;
        const Point reach{reach_units, reach_units};
        return index_.meeting({at - reach, at + reach});
    }

    double distance_to(std::size_t k, Point map) const
    {
        const Structure& structure = structures_[k];
        const Grid ground = grid_.at_scale(structure.map_scale);
        return distance_m(structure.footprint, ground.to_local(structure.frame, map));
    }

    const std::vector<Structure>& structures_;
    const Grid& grid_;
    BoxIndex index_; ///< in units of the grid
    double largest_scale_ = 0;
};

/// Reads one point after the other and joins it.
class AddressReader {
public:
    AddressReader(const AddressSource& source, const std::vector<Structure>& structures,
                  const AnalysisGrid& analysis, const std::optional<AreaSource>& area,
                  Finding& outside)
        : source_{source}, layer_{"inputs.addresses", source, analysis}, columns_{layer_.column(
                                                                             source.text, "text")},
          points_{layer_, source}, walls_{structures, analysis.grid}, outside_{outside}
    {
        for (const std::string& column : source.more_text)
            columns_.push_back(layer_.column(column, "text"));
        std::vector<int> needed = columns_;
        needed.insert(needed.end(), points_.columns().begin(), points_.columns().end());
        layer_.select(needed, points_.columns().empty());
        if (area) {
            area_.emplace(*area);
            to_area_.emplace(analysis.crs, area_->crs(), analysis.area);
        }
    }

    std::vector<Address> read(const Remarks& remarks)
    {
        remarks.note_crs(layer_);
        layer_.for_each([&](const OGRFeature& feature) { take(feature); });
        points_.require_numbers();
        if (addresses_.empty())
            throw layer_.wrong("the layer has no address points",
                               "check inputs.addresses.layer: addresses are points");
        if (!any_near_)
            throw all_elsewhere();
        without_point_.report(remarks.warnings, "addresses_without_point",
                              "addresses are not single points and are left out");
        report_not_joined(remarks.warnings);
        return std::move(addresses_);
    }

private:
    /// An address further from every structure than this is no address of theirs.
    static constexpr double same_place_m = 1000;
    static constexpr std::size_t most_probes = 1000; ///< points that are tried with x and y swapped

    void take(const OGRFeature& feature)
    {
        Address address;
        address.text = text_of(feature);
        const std::string label =
            address.text.empty() ? fmt::format("feature {}", feature.GetFID()) : address.text;
        const std::optional<Point> at = points_.of(feature);
        if (!at) {
            without_point_.add(label);
            return;
        }
        if (probes_.size() < most_probes)
            // Kept as the file has them: if all lie elsewhere, they are tried with x and y
            // exchanged.
            probes_.push_back(*at);
        address.at = *at;
        if (!layer_.place(address.at)) {
            const Error reason = layer_.not_placed(feature, "the point");
            throw fits_swapped(*at) ? layer_.wrong_feature(feature, reason.what(), swapped_remedy)
                                    : reason;
        }
        address.structure = walls_.nearest(address.at, source_.join_within_m);
        if (!address.structure && area_ && !is_in_area(address.at)) {
            outside_.add(label);
            return;
        }
        any_near_ = any_near_ || address.structure || walls_.any_within(address.at, same_place_m);
        if (!address.structure)
            not_joined_.add(label, std::numeric_limits<std::size_t>::max());
        addresses_.push_back(std::move(address));
    }

    std::string text_of(const OGRFeature& feature) const
    {
        std::string text;
        for (const int column : columns_)
            if (const auto part = layer_.text_of(feature, column))
                text += (text.empty() ? "" : " ") + *part;
        return text;
    }

    bool is_in_area(Point at) const { return to_area_->apply(at) && area_->holds(at); }

    bool fits_swapped(Point at) const
    {
        std::swap(at.x, at.y);
        return layer_.place(at) && walls_.any_within(at, same_place_m);
    }

    Error all_elsewhere() const
    {
        Box all = Box::nothing();
        for (const Address& address : addresses_)
            all.take_in(address.at);
        const Box theirs = walls_.extent();
        const Point way = all.centre() - theirs.centre();
        const auto fitting = std::count_if(probes_.begin(), probes_.end(),
                                           [this](Point p) { return fits_swapped(p); });
        const bool swapped = 2 * static_cast<std::size_t>(fitting) > probes_.size();
        return layer_.wrong(
            fmt::format("none of {} addresses lies within {:.0f} m of a structure: they cover {}, "
                        "about {:.0f} km {} of the structures, which cover {} in {}",
                        addresses_.size(), same_place_m, in_words(all),
                        std::hypot(way.x, way.y) / 1000, direction(way), in_words(theirs),
                        layer_.analysis().crs.name()),
            swapped ? std::string{swapped_remedy}
                    : fmt::format("check their CRS (inputs.addresses.crs; they are read as {}) and "
                                  "that both show the same place",
                                  layer_.crs().name()));
    }

    void report_not_joined(Warnings& warnings) const
    {
        const std::string within = fmt::format("{} m", source_.join_within_m);
        if (not_joined_.count() < static_cast<std::int64_t>(addresses_.size())) {
            not_joined_.report(warnings, "addresses_not_joined",
                               "addresses have no structure within " + within);
            return;
        }
        double least_m = same_place_m;
        for (const Address& address : addresses_)
            least_m = walls_.least_distance_m(address.at, least_m);
        warnings.push_back(
            {"addresses_not_joined",
             fmt::format("no address joins a structure: none of {} is within {} of a wall, the "
                         "nearest is {:.1f} m off; raise inputs.addresses.join_within_m if they "
                         "stand at the road, and check their CRS",
                         addresses_.size(), within, least_m),
             not_joined_.count(), not_joined_.examples()});
    }

    /// "north-east", by the axes of the map.
    static std::string_view direction(Point way)
    {
        constexpr std::string_view winds[] = {"east", "north-east", "north", "north-west",
                                              "west", "south-west", "south", "south-east"};
        const double eighths = std::atan2(way.y, way.x) / (0.25 * std::numbers::pi);
        return winds[static_cast<std::size_t>(std::lround(eighths) + 8) % 8];
    }

    static constexpr const char* swapped_remedy =
        "x and y are swapped: exchanged, they lie among the structures; correct the file";

    const AddressSource& source_;
    PlacedLayer layer_;
    std::vector<int> columns_;
    AddressPoints points_;
    NearbyWalls walls_;
    Finding& outside_;
    std::optional<CommunityArea> area_;
    std::optional<Reprojection> to_area_;
    bool any_near_ = false;
    Finding without_point_, not_joined_;
    std::vector<Point> probes_; ///< in the CRS of the layer
    std::vector<Address> addresses_;
};

} // namespace

std::vector<Address> read_addresses(const AddressSource& source,
                                    const std::vector<Structure>& structures,
                                    const AnalysisGrid& analysis, const Remarks& remarks,
                                    const std::optional<AreaSource>& area, Finding& outside)
{
    return AddressReader{source, structures, analysis, area, outside}.read(remarks);
}

} // namespace fuelring
