// SPDX-License-Identifier: Apache-2.0
#include "io/imagery/training_in.hpp"

#include "io/vector/cells_inside.hpp"
#include "io/vector/placed_layer.hpp"

#include <fmt/format.h>
#include <ogr_feature.h>
#include <ogr_geometry.h>

#include <algorithm>
#include <cmath>
#include <optional>

namespace fuelring {

namespace {

constexpr const char* groups_in_words =
    "conifer, mixed, broadleaved, grass, shrub, built, water, bare";

std::int64_t cell_of_place(double value)
{
    return static_cast<std::int64_t>(std::floor(value));
}

CellRun cell_under(Point p)
{
    return {cell_of_place(p.y), cell_of_place(p.x), 1};
}

CellRect around(const RawPolygon& polygon)
{
    Box box = Box::nothing();
    for (const auto& loop : polygon.loops)
        for (const Point& p : loop)
            box.take_in(p);
    const std::int64_t left = cell_of_place(box.min.x);
    const std::int64_t top = cell_of_place(box.min.y);
    return {left, top, cell_of_place(box.max.x) - left + 1, cell_of_place(box.max.y) - top + 1};
}

class TrainingReader {
public:
    TrainingReader(const TrainingSource& source, const AnalysisGrid& target)
        : layer_{"imagery.training", source, target}, group_{layer_.column(source.group, "group")}
    {
        if (!source.block.empty())
            block_ = layer_.column(source.block, "block");
    }

    TrainingLayer read()
    {
        TrainingLayer result;
        layer_.for_each([&](const OGRFeature& feature) {
            result.areas.push_back(area_of(feature));
            result.shapes.push_back(shape_of(feature));
            place_shape(result.shapes.back(), result.areas.back());
        });
        if (result.areas.empty())
            throw layer_.wrong("the layer has no training areas",
                               "draw polygons around trees and other land that you know");
        result.crs = layer_.layer_crs();
        return result;
    }

private:
    TrainingArea area_of(const OGRFeature& feature) const
    {
        TrainingArea area;
        area.feature = feature.GetFID();
        const std::string word = layer_.text_of(feature, group_).value_or("");
        const std::optional<FuelGroup> group = fuel_group(word);
        if (!group || *group == FuelGroup::unmapped)
            throw layer_.wrong_feature(feature, fmt::format("'{}' is not a group", word),
                                       fmt::format("write one of {}", groups_in_words));
        area.group = *group;
        if (block_)
            area.block = layer_.text_of(feature, *block_).value_or("(no block)");
        return area;
    }

    TrainingShape shape_of(const OGRFeature& feature) const
    {
        TrainingShape shape;
        const OGRGeometry* geometry = feature.GetGeometryRef();
        if (geometry && wkbFlatten(geometry->getGeometryType()) == wkbPoint && !geometry->IsEmpty())
            shape.points.push_back({geometry->toPoint()->getX(), geometry->toPoint()->getY()});
        else
            shape.polygons = layer_.outline_of(feature).polygons;
        if (shape.points.empty() && shape.polygons.empty())
            throw layer_.wrong_feature(feature, "a training area is a polygon or a point",
                                       "draw the land that you know");
        for (Point& p : shape.points)
            if (!layer_.place(p))
                throw layer_.not_placed(feature, "the point");
        const auto to_cells = [&](Point& p) { p = layer_.analysis().grid.cell_of(p); };
        std::ranges::for_each(shape.points, to_cells);
        for_each_vertex(shape.polygons, to_cells);
        return shape;
    }

    PlacedLayer layer_;
    int group_;
    std::optional<int> block_;
};

} // namespace

void place_shape(TrainingShape& shape, TrainingArea& area)
{
    const Point middle = shape.points.empty() ? middle_of(shape.polygons) : shape.points.front();
    for (const Point& p : shape.points)
        shape.cells.push_back(cell_under(p));
    for (const RawPolygon& polygon : shape.polygons) {
        const auto runs = cells_inside(polygon, around(polygon));
        shape.cells.insert(shape.cells.end(), runs.begin(), runs.end());
    }
    if (shape.cells.empty())
        shape.cells.push_back(cell_under(middle));
    area.col = middle.x;
    area.row = middle.y;
}

TrainingLayer read_training(const TrainingSource& source, const AnalysisGrid& target)
{
    return TrainingReader{source, target}.read();
}

} // namespace fuelring
