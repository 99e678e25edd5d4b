// SPDX-License-Identifier: Apache-2.0
#include "io/vector/named_outlines.hpp"

#include "io/vector/vector_layer.hpp"
#include "io/vector/vector_outline.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <ogr_feature.h>

#include <algorithm>
#include <stdexcept>

namespace fuelring {

std::vector<NamedOutline>
read_named_outlines(const NamedLayer& source, const AnalysisGrid& analysis,
                    const std::function<std::string(const std::string&)>& name_of)
{
    VectorLayer layer{{source.key, source.path, source.layer, source.crs, source.remote_allowed}};
    layer.require_polygons();
    const int column = layer.column(source.column, source.column_key);
    layer.filter(source.where, "where");
    if (source.where.empty()) // several formats evaluate a filter on the columns read
        layer.read_only_columns({column});
    const Reprojection to_analysis = layer.way_to(analysis.crs, analysis.area);
    std::vector<NamedOutline> outlines;
    layer.for_each([&](const OGRFeature& feature) {
        RawOutline raw = raw_outline(feature.GetGeometryRef());
        if (!reproject(raw.polygons, to_analysis))
            throw layer.wrong_feature(feature.GetFID(),
                                      "a vertex cannot be placed in the raster's grid",
                                      fmt::format("check the geometry, and {}.crs", source.key));
        std::erase_if(raw.polygons, [](const RawPolygon& p) {
            return p.loops.empty() || p.loops.front().empty();
        });
        if (raw.polygons.empty())
            return;
        NamedOutline outline;
        outline.frame = frame_of(raw.polygons, analysis.grid);
        to_local(raw.polygons, outline.frame, analysis.grid);
        try {
            bool repaired = false;
            const GeosGeometry united = geos_union(raw.polygons, repaired);
            if (!united)
                return;
            outline.footprint = footprint_of(polygons_of(united.get()));
        } catch (const std::runtime_error& e) {
            throw layer.wrong_feature(feature.GetFID(), e.what(), "repair its outline");
        }
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
