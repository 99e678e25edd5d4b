// SPDX-License-Identifier: Apache-2.0

// Where the structures stand, before any is read into a grid: by the boxes of their features.
#include "io/community/community_in.hpp"
#include "io/community/community_parts.hpp"
#include "io/vector/vector_layer.hpp"

#include <fmt/format.h>
#include <ogr_feature.h>
#include <ogr_geometry.h>

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

/// Corners of the boxes of all features, four by four, in the CRS of the layer.
std::vector<Point> corners_of(const VectorLayer& layer)
{
    std::vector<Point> corners;
    layer.for_each([&](const OGRFeature& feature) {
        const OGRGeometry* geometry = feature.GetGeometryRef();
        if (!geometry || geometry->IsEmpty())
            return;
        OGREnvelope box;
        geometry->getEnvelope(&box);
        corners.insert(corners.end(), {{box.MinX, box.MinY},
                                       {box.MaxX, box.MinY},
                                       {box.MaxX, box.MaxY},
                                       {box.MinX, box.MaxY}});
    });
    return corners;
}

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

StructureBoxes::StructureBoxes(const StructureSource& source)
    : layer_{std::make_unique<VectorLayer>(LayerRequest{
          "inputs.structures", source.path, source.layer, source.crs, source.remote_allowed})}
{
    layer_->require_polygons();
    layer_->filter(source.where, "where");
    if (source.where.empty())
        layer_->read_only_columns({});
    corners_ = corners_of(*layer_);
}

StructureBoxes::~StructureBoxes() = default;

GeoArea StructureBoxes::area(const Crs& crs, const Box& raster) const
{
    const RoughDegrees from_layer = rough_degrees_of(*layer_);
    const RoughDegrees of_raster{crs};
    std::vector<Point> on_raster;
    std::vector<Point> everywhere;
    for (std::size_t k = 0; k + 4 <= corners_.size(); k += 4) {
        Point middle = 0.5 * (corners_[k] + corners_[k + 2]);
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

Box StructureBoxes::on_raster(const Crs& crs, const Box& raster, const GeoArea& area) const
{
    std::vector<Point> corners = corners_;
    layer_->way_to(crs, area).apply(corners);
    Extent on_raster;
    Extent everywhere;
    for (std::size_t k = 0; k + 4 <= corners.size(); k += 4) {
        Extent feature;
        for (std::size_t c = k; c < k + 4; ++c)
            feature.take_in(corners[c]);
        const bool finite = std::isfinite(feature.box.min.x + feature.box.max.x +
                                          feature.box.min.y + feature.box.max.y);
        if (!finite)
            continue; // reading it says what is wrong
        everywhere.take_in(feature.box);
        if (raster.meets(feature.box))
            on_raster.take_in(feature.box);
    }
    if (everywhere.empty()) // reading them says what is wrong
        return {0.5 * (raster.min + raster.max), 0.5 * (raster.min + raster.max)};
    if (on_raster.empty())
        throw all_off_raster(*layer_, corners.size() / 4, everywhere.box, raster, crs);
    return on_raster.box;
}

} // namespace fuelring
