// SPDX-License-Identifier: Apache-2.0
#include "io/run_folder/run_tables_in.hpp"

#include "exposure/ownership.hpp"
#include "geometry/geos_polygons.hpp"
#include "io/community/community_findings.hpp"
#include "io/community/community_in.hpp"
#include "io/community/community_parts.hpp"
#include "io/gdal/open.hpp"
#include "io/geopackage/footprint_wkb.hpp"
#include "io/vector/vector_layer.hpp"

#include <fmt/format.h>
#include <ogr_feature.h>

#include <cmath>
#include <numbers>
#include <unordered_map>

namespace fuelring {

namespace {

constexpr const char* tables_of_run = "the run's tables";

/// Index of a column, -1 where there is none.
int optional_column(const OGRFeature& feature, const char* name)
{
    return feature.GetDefnRef()->GetFieldIndex(name);
}

using Numbers = std::unordered_map<std::string, std::size_t>;

Numbers numbers_of(const std::vector<Structure>& structures)
{
    Numbers numbers;
    for (std::size_t i = 0; i < structures.size(); ++i)
        numbers.emplace(structures[i].id, i);
    return numbers;
}

std::size_t structure_of(const VectorLayer& layer, const OGRFeature& feature, int column,
                         const Numbers& numbers)
{
    const auto found = numbers.find(text_of(feature, column).value_or(""));
    if (found == numbers.end())
        throw layer.wrong_feature(feature, "the structure_id is none of the structures",
                                  "run fuelring map again");
    return found->second;
}

/// How the run's rings were stretched there; round where it had no heights.
RingStretch stretch_of(const OGRFeature& feature, const Structure& s, const AnalysisGrid& grid)
{
    const int down = optional_column(feature, "ring_down_factor");
    const int across = optional_column(feature, "ring_across_factor");
    const int aspect = optional_column(feature, "aspect_deg");
    if (down < 0 || across < 0 || aspect < 0 || !feature.IsFieldSetAndNotNull(aspect))
        return {};
    RingStretch stretch;
    stretch.down = number_of(feature, down).value_or(1);
    stretch.across = number_of(feature, across).value_or(1);
    if (stretch.is_round())
        return {};
    const double angle = feature.GetFieldAsDouble(aspect) * std::numbers::pi / 180;
    const Point map{std::sin(angle), std::cos(angle)};
    const Grid ground = grid.grid.at_scale(s.map_scale);
    const Point local{dot(map, ground.along_cols()), dot(map, ground.against_rows())};
    stretch.downhill = (1 / std::hypot(local.x, local.y)) * local;
    return stretch;
}

void read_figures(const std::string& path, const AnalysisGrid& grid, PastTables& tables)
{
    const Numbers numbers = numbers_of(tables.structures);
    tables.figures.resize(tables.structures.size());
    const VectorLayer layer{tables_of_run, {.path = path, .layer = "structures"}};
    const int id = layer.column("structure_id", "id");
    const int exposure = layer.column("exposure", "exposure");
    const int rank = layer.column("rank", "rank");
    const int nearest = layer.column("nearest_conifer_m", "nearest_conifer_m");
    const int neighbourhood = layer.column("neighbourhood", "neighbourhood");
    layer.for_each([&](const OGRFeature& feature) {
        const std::size_t i = structure_of(layer, feature, id, numbers);
        PastFigures& figures = tables.figures[i];
        figures.exposure = number_of(feature, exposure);
        if (const auto r = number_of(feature, rank))
            figures.rank = std::llround(*r);
        figures.nearest_conifer_m = number_of(feature, nearest);
        figures.neighbourhood = text_of(feature, neighbourhood).value_or("");
        tables.structures[i].stretch = stretch_of(feature, tables.structures[i], grid);
    });
}

void read_addresses_of(const std::string& path, PastTables& tables)
{
    const Numbers numbers = numbers_of(tables.structures);
    const VectorLayer layer{tables_of_run, {.path = path, .layer = "addresses"}};
    const int id = layer.column("structure_id", "id");
    const int text = layer.column("address", "address");
    layer.for_each([&](const OGRFeature& feature) {
        tables.addresses.push_back(
            {text_of(feature, text).value_or(""), structure_of(layer, feature, id, numbers)});
    });
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

PastTables read_run_tables(const std::string& geopackage, const AnalysisGrid& grid)
{
    StructureSource source;
    source.path = geopackage;
    source.layer = "structures";
    source.id = "structure_id";
    Warnings ignored; // said by the run itself
    PastTables tables;
    tables.structures =
        read_community({source, std::nullopt, std::nullopt, std::nullopt}, grid, ignored)
            .structures;
    read_figures(geopackage, grid, tables);
    read_addresses_of(geopackage, tables);
    return tables;
}

std::optional<Ownership> read_run_parcels(const std::string& geopackage,
                                          const std::vector<Structure>& structures,
                                          const AnalysisGrid& grid, double widest_m)
{
    ParcelSource source;
    source.path = geopackage;
    source.layer = "parcels";
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
