// SPDX-License-Identifier: Apache-2.0

// Which neighbourhood a structure belongs to: the one that holds most of its footprint; any share
// beats none; equal shares by name. All geometry is in units of the
// grid, counted from its corner.
#include "io/community/community_findings.hpp"
#include "io/community/community_parts.hpp"
#include "io/vector/box_index.hpp"

#include <fmt/format.h>
#include <ogr_feature.h>

#include <algorithm>
#include <map>
#include <stdexcept>
#include <string_view>

namespace fuelring {

namespace {

/// Shares that differ by less than this part of the footprint are equal.
constexpr double same_share = 1e-9;

/// Rows of neighbourhoods.csv that are no neighbourhoods.
constexpr std::string_view reserved_names[] = {"(outside)", "(community)"};

/// What neighbourhoods without a name are called together. One that is written so has none either:
/// it may come from an earlier run's own layer.
constexpr std::string_view unnamed = "(unnamed)";

bool is_blank(std::string_view name)
{
    constexpr std::string_view blanks = " \t\r\n";
    return name.find_first_not_of(blanks) == name.npos;
}

/// One neighbourhood: its features of one name, united.
struct Area {
    GeosGeometry geometry;
    GeosPrepared prepared;
    Box box;
};

/// Polygons by name, sorted bytewise.
std::map<std::string, std::vector<RawPolygon>> read_polygons(const NeighbourhoodSource& source,
                                                             const AnalysisGrid& analysis,
                                                             const Remarks& remarks)
{
    PlacedLayer layer{"inputs.neighbourhoods", source, analysis};
    remarks.note_crs(layer);
    layer.require_polygons();
    const int column = layer.column(source.name, "name");
    layer.select({column});
    std::map<std::string, std::vector<RawPolygon>> polygons_of_name;
    Finding nameless;
    layer.for_each([&](const OGRFeature& feature) {
        std::string name = layer.text_of(feature, column).value_or("");
        if (is_blank(name) || name == unnamed) {
            name = unnamed;
            nameless.add(fmt::format("feature {}", feature.GetFID()));
        }
        if (std::find(std::begin(reserved_names), std::end(reserved_names), name) !=
            std::end(reserved_names))
            throw layer.wrong_feature(feature,
                                      fmt::format("'{}' is a row of neighbourhoods.csv", name),
                                      "rename the neighbourhood");
        std::ranges::move(layer.polygons_on_grid(feature),
                          std::back_inserter(polygons_of_name[name]));
    });
    if (polygons_of_name.empty())
        throw layer.wrong("the layer has no neighbourhoods", "check inputs.neighbourhoods.layer");
    nameless.report(remarks.warnings, "neighbourhoods_without_name",
                    fmt::format("neighbourhoods have no name and are taken as one, {}: fill in "
                                "column {}",
                                unnamed, source.name));
    return polygons_of_name;
}

/// `name` lies over nothing where its geometry is empty: the area is never found then.
Area area_of(const std::vector<RawPolygon>& polygons, const std::string& name, bool& repaired)
{
    try {
        Area area;
        area.box = bounds(footprint_of(polygons));
        area.geometry = geos_union(polygons, repaired);
        if (area.geometry)
            area.prepared.reset(GEOSPrepare_r(geos(), area.geometry.get()));
        return area;
    } catch (const std::runtime_error& e) {
        throw Error{Failure::input, e.what(), fmt::format("neighbourhood '{}'", name),
                    "repair its outline"};
    }
}

class NeighbourhoodFinder {
public:
    NeighbourhoodFinder(std::vector<Area> areas, const Grid& grid)
        : areas_{std::move(areas)}, grid_{grid}, index_{areas_,
                                                        [](const Area& area) { return area.box; }}
    {}

    std::optional<std::size_t> most_of(const Structure& structure) const
    {
        const FrameOnGrid frame{structure.frame, structure.map_scale, grid_};
        const std::vector<GeosGeometry> loops = in_grid(structure.footprint, frame);
        const double whole = structure.footprint_m2 * structure.map_scale.areal();
        std::optional<std::size_t> best;
        double most = 0;
        for (const std::size_t k : index_.meeting(frame.to_grid(bounds(structure.footprint)))) {
            const double share = shared(structure, whole, loops, areas_[k]);
            if (share > most + same_share * whole) {
                most = share;
                best = k;
            }
        }
        return best;
    }

private:
    static std::vector<GeosGeometry> in_grid(const Footprint& footprint, const FrameOnGrid& frame)
    {
        std::vector<GeosGeometry> loops;
        for (Loop loop : footprint.loops) {
            for (Point& p : loop)
                p = frame.to_grid(p);
            loops.push_back(geos_polygon({{std::move(loop)}}));
        }
        return loops;
    }

    /// Area of the footprint inside `area`, in square units of the grid (`whole` is all of it):
    /// that of its shells less that of its holes.
    static double shared(const Structure& structure, double whole,
                         const std::vector<GeosGeometry>& loops, const Area& area)
    {
        const auto holds = [&](const GeosGeometry& loop) {
            return GEOSPreparedContains_r(geos(), area.prepared.get(), loop.get()) == 1;
        };
        if (!area.prepared)
            return 0;
        // Most footprints lie in one neighbourhood whole, which a prepared geometry tells fast.
        if (std::all_of(loops.begin(), loops.end(), holds))
            return whole;
        double sum = 0;
        for (std::size_t k = 0; k < loops.size(); ++k) {
            const bool hole = area_m2(Footprint{{structure.footprint.loops[k]}}) < 0;
            sum += (hole ? -1 : 1) * shared_area(area.geometry.get(), loops[k].get());
        }
        return sum;
    }

    std::vector<Area> areas_;
    const Grid& grid_;
    BoxIndex index_;
};

void warn_of_none(const NeighbourhoodSource& source, const Community& community, Warnings& warnings)
{
    const std::vector<Structure>& all = community.structures;
    if (std::any_of(all.begin(), all.end(), [](const Structure& s) { return s.neighbourhood; }))
        return;
    warnings.push_back(
        {"no_structure_in_a_neighbourhood",
         fmt::format("no structure lies in a neighbourhood of {}, all are (outside): "
                     "check its CRS (inputs.neighbourhoods.crs), and that it shows "
                     "the same place",
                     source.path),
         static_cast<std::int64_t>(all.size()),
         {}});
}

} // namespace

void read_neighbourhoods(const NeighbourhoodSource& source, Community& community,
                         const AnalysisGrid& analysis, const Remarks& remarks)
{
    std::vector<Area> areas;
    Finding repaired;
    for (const auto& [name, polygons] : read_polygons(source, analysis, remarks)) {
        bool was_repaired = false;
        areas.push_back(area_of(polygons, name, was_repaired));
        community.neighbourhoods.push_back(name);
        community.neighbourhood_areas.push_back(
            areas.back().geometry ? footprint_of(polygons_of(areas.back().geometry.get()))
                                  : Footprint{});
        if (was_repaired)
            repaired.add(name);
    }
    repaired.report(remarks.warnings, "repaired_neighbourhoods",
                    "neighbourhoods cross themselves and were repaired (even-odd)");
    const NeighbourhoodFinder finder{std::move(areas), analysis.grid};
    for (Structure& structure : community.structures)
        structure.neighbourhood = finder.most_of(structure);
    warn_of_none(source, community, remarks.warnings);
}

} // namespace fuelring
