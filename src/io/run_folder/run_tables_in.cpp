// SPDX-License-Identifier: Apache-2.0

// What an earlier run found is read from its GeoPackage, since its inputs may have changed.
// Footprints go the way that footprints of inputs go, and figures join them by the structure's id.
// Warnings of that way are dropped: the run itself said them.
#include "io/run_folder/run_tables_in.hpp"

#include "base/program/run_names.hpp"
#include "exposure/ownership.hpp"
#include "geometry/geos.hpp"
#include "io/community/community_findings.hpp"
#include "io/community/community_in.hpp"
#include "io/community/community_parts.hpp"
#include "io/gdal/open.hpp"
#include "io/geopackage/footprint_wkb.hpp"
#include "io/vector/vector_layer.hpp"

#include <fuelring/error.hpp>

#include <ogr_feature.h>

#include <cmath>
#include <numbers>

namespace fuelring {

namespace {

/// Columns of one ring.
struct RingColumns {
    int ring_m2;
    int conifer_m2;
    int unmapped_frac;
};

/// The layer `structures`, by column.
class FigureReader {
public:
    FigureReader(const std::string& geopackage, const std::vector<std::string>& near_rings)
        : layer_{tables_of_run, {.path = geopackage, .layer = layers_of_run::structures}}
    {
        for (const std::string& label : near_rings) {
            const int ring = column(columns_of_run::ring_m2 + label);
            const int conifer = column(columns_of_run::conifer_m2 + label);
            rings_.push_back({ring, conifer, column(columns_of_run::unmapped_frac + label)});
        }
        layer_.select(needed_, false);
    }

    template <typename Visit>
    void for_each(Visit&& visit) const
    {
        layer_.for_each([&](const OGRFeature& feature) {
            visit(text_of(feature, id_).value_or(""), figures_of(feature));
        });
    }

private:
    int column(const std::string& name)
    {
        needed_.push_back(layer_.column(name, name));
        return needed_.back();
    }
    int optional_column(const char* name) { return layer_.has_column(name) ? column(name) : -1; }

    PastFigures figures_of(const OGRFeature& feature) const
    {
        PastFigures figures;
        figures.exposure = number_of(feature, exposure_);
        if (const auto r = number_of(feature, rank_))
            figures.rank = std::llround(*r);
        figures.nearest_conifer_m = number_of(feature, nearest_);
        figures.neighbourhood = text_of(feature, neighbourhood_).value_or("");
        add_near(feature, figures);
        if (down_ < 0 || across_ < 0 || aspect_ < 0)
            return figures;
        figures.ring_down_factor = number_of(feature, down_).value_or(1);
        figures.ring_across_factor = number_of(feature, across_).value_or(1);
        figures.aspect_deg = number_of(feature, aspect_);
        return figures;
    }

    void add_near(const OGRFeature& feature, PastFigures& figures) const
    {
        figures.near_conifer_m2 = rings_.empty() ? std::nullopt : std::optional{0.0};
        for (const RingColumns& ring : rings_) {
            figures.near_unmapped_m2 += number_of(feature, ring.unmapped_frac).value_or(0) *
                                        number_of(feature, ring.ring_m2).value_or(0);
            const std::optional<double> conifer = number_of(feature, ring.conifer_m2);
            // One ring that is not known makes the sum unknown, whatever the others say.
            if (conifer && figures.near_conifer_m2)
                *figures.near_conifer_m2 += *conifer;
            else
                figures.near_conifer_m2.reset();
        }
    }

    VectorLayer layer_;
    std::vector<int> needed_;
    int id_ = column(columns_of_run::structure_id);
    int neighbourhood_ = column(columns_of_run::neighbourhood);
    int exposure_ = column(columns_of_run::exposure);
    int nearest_ = column(columns_of_run::nearest_conifer_m);
    int rank_ = column(columns_of_run::rank);
    int down_ = optional_column(columns_of_run::ring_down_factor);
    int across_ = optional_column(columns_of_run::ring_across_factor);
    int aspect_ = optional_column(columns_of_run::aspect_deg);
    std::vector<RingColumns> rings_;
};

/// How the run's rings were stretched there; round where it had no heights.
RingStretch stretch_of(const PastFigures& figures, const Structure& s, const AnalysisGrid& grid)
{
    RingStretch stretch;
    stretch.down = figures.ring_down_factor;
    stretch.across = figures.ring_across_factor;
    if (stretch.is_round() || !figures.aspect_deg)
        return {};
    const double angle = *figures.aspect_deg * std::numbers::pi / 180;
    const Point map{std::sin(angle), std::cos(angle)};
    const Grid ground = grid.grid.at_scale(s.map_scale);
    // The aspect is counted from the north of the grid; the frame's axes are those of rows and
    // columns.
    const Point local{dot(map, ground.along_cols()), dot(map, ground.against_rows())};
    stretch.downhill = (1 / std::hypot(local.x, local.y)) * local;
    return stretch;
}

bool has_layer(const std::string& path, const std::string& name)
{
    const DatasetPtr file = open_input(path, InputKind::vector, false, tables_of_run);
    return GDALDatasetGetLayerByName(file.get(), name.c_str()) != nullptr;
}

GeosGeometry geometry_of(const Footprint& footprint)
{
    std::vector<RawPolygon> polygons;
    for (const ShellWithHoles& polygon : polygons_of(footprint)) {
        RawPolygon& raw = polygons.emplace_back();
        raw.loops.push_back(footprint.loops[polygon.shell]);
        for (const std::size_t hole : polygon.holes)
            raw.loops.push_back(footprint.loops[hole]);
    }
    bool repaired = false;
    return geos_union(polygons, repaired);
}

} // namespace

void read_past_figures(
    const std::string& geopackage, const std::vector<std::string>& near_rings,
    const std::function<void(const std::string& structure_id, const PastFigures&)>& visit)
{
    FigureReader{geopackage, near_rings}.for_each(visit);
}

void read_past_addresses(
    const std::string& geopackage,
    const std::function<void(const std::string& structure_id, const std::string& address)>& visit)
{
    VectorLayer layer{tables_of_run, {.path = geopackage, .layer = layers_of_run::addresses}};
    const int id = layer.column(columns_of_run::structure_id, columns_of_run::structure_id);
    const int address = layer.column(columns_of_run::address, columns_of_run::address);
    layer.select({id, address}, false);
    layer.for_each([&](const OGRFeature& feature) {
        visit(text_of(feature, id).value_or(""), text_of(feature, address).value_or(""));
    });
}

PastTables read_run_tables(const std::string& geopackage, const AnalysisGrid& grid)
{
    StructureSource source;
    source.path = geopackage;
    source.layer = layers_of_run::structures;
    source.id = columns_of_run::structure_id;
    Warnings ignored; // said by the run itself
    Community community =
        read_community({source, std::nullopt, std::nullopt, std::nullopt}, grid, ignored);
    PastTables tables;
    tables.figures.resize(community.structures.size());
    const auto index_of = [&](const std::string& id) {
        if (const auto found = index_of_structure(community, id))
            return *found;
        throw Error{Failure::input, "the structure_id is none of the structures: " + id, geopackage,
                    "run fuelring map again"};
    };
    read_past_figures(geopackage, {}, [&](const std::string& id, const PastFigures& figures) {
        const std::size_t i = index_of(id);
        Structure& structure = community.structures[i];
        structure.stretch = stretch_of(figures, structure, grid);
        tables.figures[i] = figures;
    });
    read_past_addresses(geopackage, [&](const std::string& id, const std::string& address) {
        tables.addresses.push_back({address, index_of(id)});
    });
    tables.structures = std::move(community.structures);
    return tables;
}

std::optional<Ownership> read_run_parcels(const std::string& geopackage,
                                          const std::vector<Structure>& structures,
                                          const AnalysisGrid& grid, double widest_m)
{
    ParcelSource source;
    source.path = geopackage;
    source.layer = layers_of_run::parcels;
    source.owner = "owner";
    source.widest_ring_m = widest_m;
    if (!has_layer(geopackage, source.layer))
        return std::nullopt;
    Warnings ignored; // said by the run itself
    return read_parcels(source, structures, grid, {ignored, nullptr});
}

double shared_ground_m2(const Structure& a, const Structure& b, const Grid& grid)
{
    const FrameOnGrid of_a{a.frame, a.map_scale, grid};
    const FrameOnGrid of_b{b.frame, b.map_scale, grid};
    Footprint moved = b.footprint;
    for (Loop& loop : moved.loops)
        for (Point& p : loop)
            p = of_a.to_local(of_b.to_grid(p));
    const GeosGeometry first = geometry_of(a.footprint);
    const GeosGeometry second = geometry_of(moved);
    return first && second ? shared_area(first.get(), second.get()) : 0;
}

Box box_on_grid(const Structure& s, const Grid& grid)
{
    const FrameOnGrid frame{s.frame, s.map_scale, grid};
    const Box box = bounds(s.footprint);
    return {frame.to_grid(box.min), frame.to_grid(box.max)};
}

} // namespace fuelring
