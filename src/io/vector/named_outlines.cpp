// SPDX-License-Identifier: Apache-2.0

// Outlines of a layer of names: each feature is placed in the analysis CRS, brought into a frame
// near it so that no digits are lost to large coordinates, and united with itself, which takes its
// crossings away.
#include "io/vector/named_outlines.hpp"

#include "io/vector/placed_layer.hpp"

#include <ogr_feature.h>

#include <algorithm>

namespace fuelring {

namespace {

/// United; empty where it encloses nothing.
Footprint footprint_in(const PlacedLayer& layer, const OGRFeature& feature,
                       const std::vector<RawPolygon>& polygons)
{
    return layer.shaping(feature, "repair its outline", [&] {
        bool repaired = false;
        const GeosGeometry united = geos_union(polygons, repaired);
        return united ? footprint_of(polygons_of(united.get())) : Footprint{};
    });
}

} // namespace

std::vector<NamedOutline>
read_named_outlines(const std::string& key, const LayerSource& source, const NameColumn& names,
                    const AnalysisGrid& analysis,
                    const std::function<std::string(const std::string&)>& name_of)
{
    PlacedLayer layer{key, source, analysis};
    layer.require_polygons();
    const int column = layer.column(names.name, names.setting);
    layer.select({column});
    std::vector<NamedOutline> outlines;
    layer.for_each([&](const OGRFeature& feature) {
        std::vector<RawPolygon> polygons = layer.outline_of(feature).polygons;
        std::erase_if(polygons, [](const RawPolygon& p) {
            return p.loops.empty() || p.loops.front().empty();
        });
        if (polygons.empty())
            return;
        NamedOutline outline;
        outline.frame = frame_of(polygons, analysis.grid);
        to_local(polygons, outline.frame, analysis.grid);
        outline.footprint = footprint_in(layer, feature, polygons);
        if (outline.footprint.loops.empty())
            return;
        outline.cells =
            intersection(analysis.grid.cells_of(outline.frame, bounds(outline.footprint)),
                         analysis.grid.extent());
        if (outline.cells.empty())
            return;
        outline.name = name_of(layer.text_of(feature, column).value_or(""));
        outlines.push_back(std::move(outline));
    });
    return outlines;
}

} // namespace fuelring
