// SPDX-License-Identifier: Apache-2.0

// Polygons of plans: united, so that what several of them hold counts once, and what must not be
// touched is taken off what has to be treated before either meets a cell.
#include "run/treat/ground/treat_areas.hpp"

#include "coverage/scatter.hpp"
#include "io/cog/cog_writer.hpp"
#include "io/community/owner_class.hpp"
#include "io/vector/placed_layer.hpp"
#include "run/treat/ground/treat_zones.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <ogr_feature.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <optional>
#include <set>
#include <string>

namespace fuelring {

namespace {

/// Less of a cell than this is what rounding leaves along a border.
constexpr double least_cover = 1e-9;

using PolygonList = std::vector<RawPolygon>;

/// United with itself, which takes its crossings away.
PolygonList clean_ground(const PlacedLayer& layer, const OGRFeature& feature)
{
    const PolygonList raw = layer.polygons_on_grid(feature);
    return layer.shaping(feature, "repair the polygon", [&] {
        bool repaired = false;
        const GeosGeometry whole = geos_union(raw, repaired);
        return whole ? polygons_of(whole.get()) : PolygonList{};
    });
}

/// Polygons of the features that `wanted` takes, on the grid, each repaired.
PolygonList read_polygons(PlacedLayer& layer, const std::function<bool(const OGRFeature&)>& wanted)
{
    PolygonList all;
    layer.for_each([&](const OGRFeature& feature) {
        if (!wanted(feature))
            return;
        PolygonList clean = clean_ground(layer, feature);
        std::move(clean.begin(), clean.end(), std::back_inserter(all));
    });
    return all;
}

PolygonList read_layer(const std::string& key, const LayerSource& source,
                       const AnalysisGrid& analysis, std::vector<LayerCrs>& layers)
{
    PlacedLayer layer{key, source, analysis};
    layer.require_polygons();
    layer.select({});
    PolygonList polygons = read_polygons(layer, [](const OGRFeature&) { return true; });
    layers.push_back(layer.layer_crs());
    return polygons;
}

/// A name that no parcel has may be misspelt, and then land would be cut whose owner declined.
void require_met(const std::vector<std::string>& names, const std::set<std::string>& met,
                 const PlacedLayer& layer, const char* what, const char* key)
{
    for (const std::string& name : names)
        if (!met.contains(name))
            throw layer.wrong(fmt::format("no parcel has the {} '{}'", what, name),
                              fmt::format("correct treat.declined.{}", key));
}

PolygonList read_declined(const ParcelSource& parcels, const DeclinedLand& declined,
                          const AnalysisGrid& analysis)
{
    PlacedLayer layer{"inputs.parcels", parcels, analysis};
    layer.require_polygons();
    const int owner = layer.column(parcels.owner, "owner");
    if (!declined.id.empty() && !layer.has_column(declined.id))
        throw layer.wrong(fmt::format("no column '{}'", declined.id),
                          "name the column of the parcels' ids in treat.declined.id");
    const int id = declined.id.empty() ? owner : layer.column(declined.id, "id");
    layer.select(id == owner ? std::vector{owner} : std::vector{owner, id});
    std::set<std::string> owners_met;
    std::set<std::string> parcels_met;
    const auto meet = [](const std::vector<std::string>& names, const std::string& name,
                         std::set<std::string>& met) {
        const bool named = std::binary_search(names.begin(), names.end(), name);
        if (named)
            met.insert(name);
        return named;
    };
    PolygonList polygons = read_polygons(layer, [&](const OGRFeature& feature) {
        const std::string text = layer.text_of(feature, owner).value_or("");
        const bool by_owner = meet(declined.owners, owner_class(text), owners_met);
        const bool by_class = meet(declined.owners, zone_owner(parcels, text), owners_met);
        const bool by_id =
            meet(declined.parcels, layer.text_of(feature, id).value_or(""), parcels_met);
        return by_owner || by_class || by_id;
    });
    require_met(declined.owners, owners_met, layer, "owner class", "owners");
    require_met(declined.parcels, parcels_met, layer, "id", "parcels");
    return polygons;
}

/// Geometry of one of the layers that `key` names.
template <typename Act>
auto shaping_of(const char* key, Act&& act)
{
    try {
        return act();
    } catch (const std::runtime_error& e) {
        throw Error{Failure::input, e.what(), key, "repair the polygons where they cross"};
    }
}

std::vector<PolygonList> each_alone(const PolygonList& polygons)
{
    std::vector<PolygonList> areas;
    for (const RawPolygon& polygon : polygons)
        areas.push_back({polygon});
    return areas;
}

void add_parcels(const ParcelSource& parcels, const std::string& id_column,
                 const AnalysisGrid& analysis, TreatAreas& areas)
{
    PlacedLayer layer{"inputs.parcels", parcels, analysis};
    layer.require_polygons();
    const int owner = layer.column(parcels.owner, "owner");
    const std::optional<int> id =
        id_column.empty() ? std::nullopt : std::optional{layer.column(id_column, "id")};
    layer.select(id ? std::vector{owner, *id} : std::vector{owner});
    std::vector<PolygonList> ground;
    layer.for_each([&](const OGRFeature& feature) {
        ground.push_back(clean_ground(layer, feature));
        areas.parcels.push_back(
            {id ? layer.text_of(feature, *id).value_or("") : std::to_string(feature.GetFID()),
             zone_owner(parcels, layer.text_of(feature, owner).value_or(""))});
    });
    areas.slices = {ground, analysis.grid};
}

void add_strips(const LayerSource& lines, const StripForm& form, const AnalysisGrid& analysis,
                TreatAreas& areas)
{
    StripLayer strips = read_strip_lines(lines, form, analysis);
    std::vector<PolygonList> ground;
    for (SliceGround& slice : strips.slices)
        ground.push_back(std::move(slice.ground));
    areas.slices = {ground, analysis.grid};
    areas.strips = std::move(strips.slices);
    areas.layers.push_back(strips.crs);
}

} // namespace

AreaCover::AreaCover(const std::vector<std::vector<RawPolygon>>& areas, const Grid& grid)
    : grid_(grid)
{
    for (std::uint32_t number = 0; number < areas.size(); ++number) {
        Footprint ground = footprint_of(areas[number]);
        if (ground.loops.empty())
            continue;
        const CellRect cells =
            intersection(widened(grid.cells_of({}, bounds(ground)), 1), grid.extent());
        if (cells.empty())
            continue;
        const CellFrame frame{cells.col, cells.row};
        const Point origin{static_cast<double>(frame.col) * grid.cell_width_m(),
                           -static_cast<double>(frame.row) * grid.cell_height_m()};
        for (Loop& loop : ground.loops)
            for (Point& p : loop)
                p = p - origin;
        const auto place = static_cast<std::uint32_t>(areas_.size());
        areas_.push_back({number, outline_of(ground), frame, cells});
        for (std::int64_t r = cells.row / out_block_cells;
             r * out_block_cells < cells.row + cells.rows; ++r)
            for (std::int64_t c = cells.col / out_block_cells;
                 c * out_block_cells < cells.col + cells.cols; ++c)
                areas_of_[{r, c}].push_back(place);
    }
}

std::vector<std::uint32_t> AreaCover::areas_in(const CellRect& block) const
{
    const auto at = areas_of_.find({block.row / out_block_cells, block.col / out_block_cells});
    return at == areas_of_.end() ? std::vector<std::uint32_t>{} : at->second;
}

void AreaCover::cover(std::uint32_t place, const CellRect& rect, Plane& plane) const
{
    plane.assign(static_cast<std::size_t>(rect.rows * rect.cols), 0);
    coverage::scatter(areas_[place].outline, areas_[place].frame, *grid_,
                      coverage::Int128{1} << coverage::fixed_places, rect, plane);
}

double AreaCover::share_of(std::uint64_t fixed)
{
    const double share =
        std::ldexp(static_cast<double>(static_cast<std::int64_t>(fixed)), -coverage::fixed_places);
    return share < least_cover ? 0 : std::min(share, 1.0);
}

TreatAreas read_treat_areas(const InputSettings& sources, const TreatmentSettings& settings,
                            const AnalysisGrid& analysis)
{
    TreatAreas areas;
    PolygonList closed;
    if (settings.declined.any())
        closed = read_declined(*sources.parcels, settings.declined, analysis);
    if (settings.keep_out && settings.keep_out_by_cover) {
        PolygonList kept = read_layer("treat.keep_out", *settings.keep_out, analysis, areas.layers);
        std::move(kept.begin(), kept.end(), std::back_inserter(closed));
    }
    bool repaired = false;
    const GeosGeometry shut =
        shaping_of("treat.keep_out", [&] { return geos_union(closed, repaired); });
    if (shut)
        areas.closed = {each_alone(polygons_of(shut.get())), analysis.grid};
    if (settings.strip_form)
        add_strips(*settings.strips, *settings.strip_form, analysis, areas);
    if (settings.parcel_blocks)
        add_parcels(*sources.parcels, sources.parcel_id, analysis, areas);
    if (!settings.required)
        return areas;
    const PolygonList required =
        read_layer("treat.required", *settings.required, analysis, areas.layers);
    GeosGeometry open =
        shaping_of("treat.required", [&] { return geos_union(required, repaired); });
    if (!open)
        throw Error{Failure::input, "the layer has no polygons", "treat.required",
                    "check treat.required.layer and where"};
    if (shut)
        open = shaping_of("treat.required", [&] { return difference(open, shut); });
    if (open)
        areas.required = {each_alone(polygons_of(open.get())), analysis.grid};
    return areas;
}

} // namespace fuelring
