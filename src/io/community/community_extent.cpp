// SPDX-License-Identifier: Apache-2.0

// Where the structures stand, before any is read into a grid: by the boxes of their features.
#include "io/community/community_area.hpp"
#include "io/community/community_in.hpp"
#include "io/community/community_parts.hpp"

#include <fmt/format.h>
#include <ogr_feature.h>
#include <ogr_geometry.h>

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

RoughDegrees rough_degrees_of(const VectorLayer& layer)
{
    try {
        return RoughDegrees{layer.crs()};
    } catch (const Error& e) {
        throw layer.wrong(e.what(), "check inputs.structures.crs");
    }
}

} // namespace

std::string in_words(const Box& box)
{
    const bool small = std::max(std::abs(box.max.x), std::abs(box.max.y)) < 1000; // degrees
    return small ? fmt::format("x {:.4f} to {:.4f}, y {:.4f} to {:.4f}", box.min.x, box.max.x,
                               box.min.y, box.max.y)
                 : fmt::format("x {:.0f} to {:.0f}, y {:.0f} to {:.0f}", box.min.x, box.max.x,
                               box.min.y, box.max.y);
}

Error all_off_raster(const VectorLayer& layer, std::size_t structures, const Box& everywhere,
                     const Box& raster, const Crs& crs)
{
    return layer.wrong(
        fmt::format(
            "all {} structures are outside the fuel raster: they cover {}, the raster {} in {}",
            structures, in_words(everywhere), in_words(raster), crs.name()),
        "check the CRS of both (inputs.structures.crs, inputs.fuel.crs) and that they show the "
        "same place");
}

StructureBoxes::StructureBoxes(const StructureSource& source) : layer_{"inputs.structures", source}
{
    layer_.require_polygons();
    layer_.select({});
    std::optional<CommunityArea> area;
    std::optional<Reprojection> to_area;
    if (source.area) {
        area.emplace(*source.area);
        to_area.emplace(layer_.crs(), area->crs());
    }
    layer_.for_each([&](const OGRFeature& feature) {
        const OGRGeometry* geometry = feature.GetGeometryRef();
        if (!geometry || geometry->IsEmpty())
            return;
        OGREnvelope box;
        geometry->getEnvelope(&box);
        Point middle = Box{{box.MinX, box.MinY}, {box.MaxX, box.MaxY}}.centre();
        if (area && (!to_area->apply(middle) || !area->holds(middle)))
            return; // as far as a box can tell: reading it decides
        boxes_.push_back({{{box.MinX, box.MinY},
                           {box.MaxX, box.MinY},
                           {box.MaxX, box.MaxY},
                           {box.MinX, box.MaxY}}});
    });
}

GeoArea StructureBoxes::area(const Crs& crs, const Box& raster) const
{
    const RoughDegrees from_layer = rough_degrees_of(layer_);
    const RoughDegrees of_raster{crs};
    std::vector<Point> on_raster;
    std::vector<Point> everywhere;
    for (const Corners& corners : boxes_) {
        Point middle = Box{corners[0], corners[2]}.centre();
        if (!from_layer.to_degrees(middle))
            continue;
        everywhere.push_back(middle);
        if (of_raster.to_place(middle) && raster.meets({middle, middle}))
            on_raster.push_back(everywhere.back());
    }
    if (everywhere.empty()) // reading them says what is wrong
        return {};
    return area_around(on_raster.empty() ? everywhere : on_raster);
}

std::vector<Box> StructureBoxes::boxes_in(const Crs& crs, const std::optional<GeoArea>& area) const
{
    const Reprojection way = layer_.way_to(crs, area);
    std::vector<Box> boxes;
    for (Corners corners : boxes_) {
        Box box = Box::nothing();
        bool placed = true;
        for (Point& corner : corners) {
            placed = placed && way.apply(corner);
            box.take_in(corner);
        }
        if (placed)
            boxes.push_back(box);
    }
    return boxes;
}

Box StructureBoxes::on_raster(const Crs& crs, const Box& raster, const GeoArea& area) const
{
    const Reprojection way = layer_.way_to(crs, area);
    Box on_raster = Box::nothing();
    Box everywhere = Box::nothing();
    for (Corners corners : boxes_) {
        if (!way.apply(corners))
            continue; // reading it says what is wrong
        Box feature = Box::nothing();
        for (const Point corner : corners)
            feature.take_in(corner);
        for (Box* box : {&everywhere, feature.meets(raster) ? &on_raster : nullptr})
            if (box) {
                box->take_in(feature.min);
                box->take_in(feature.max);
            }
    }
    if (everywhere.min.x > everywhere.max.x) // reading them says what is wrong
        return {raster.centre(), raster.centre()};
    if (on_raster.min.x > on_raster.max.x)
        throw all_off_raster(layer_, boxes_.size(), everywhere, raster, crs);
    return on_raster;
}

} // namespace fuelring
