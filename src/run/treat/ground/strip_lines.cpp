// SPDX-License-Identifier: Apache-2.0

// A slice is what lies within half the width of a piece of the line and not beyond its ends (a
// buffer with flat ends, mitred where the line turns). What an earlier slice has is taken off.
#include "run/treat/ground/strip_lines.hpp"

#include "io/vector/placed_layer.hpp"

#include <fuelring/error.hpp>

#include <ogr_feature.h>
#include <ogr_geometry.h>

#include <algorithm>
#include <cmath>
#include <memory>

namespace fuelring {

namespace {

constexpr double slices_of_least_length = 10;
constexpr double least_m = 1e-6; ///< shorter lines are points

using LineOfPoints = std::vector<Point>;

/// Lines of a geometry, its parts one after the other.
void add_lines(const OGRGeometry& geometry, std::vector<LineOfPoints>& lines)
{
    const OGRwkbGeometryType type = wkbFlatten(geometry.getGeometryType());
    if (type == wkbLineString) {
        LineOfPoints& line = lines.emplace_back();
        for (const OGRPoint& p : *geometry.toLineString())
            line.push_back({p.getX(), p.getY()});
    } else if (type == wkbMultiLineString || type == wkbGeometryCollection) {
        for (const OGRGeometry* part : *geometry.toGeometryCollection())
            add_lines(*part, lines);
    }
}

double length_of(const LineOfPoints& line)
{
    double length = 0;
    for (std::size_t k = 1; k < line.size(); ++k)
        length += std::hypot(line[k].x - line[k - 1].x, line[k].y - line[k - 1].y);
    return length;
}

/// The piece of a line between two places along it.
LineOfPoints piece_of(const LineOfPoints& line, double from, double to)
{
    LineOfPoints piece;
    double at = 0;
    for (std::size_t k = 1; k < line.size(); ++k) {
        const Point a = line[k - 1];
        const Point b = line[k];
        const double step = std::hypot(b.x - a.x, b.y - a.y);
        const auto place = [&](double along) { return a + ((along - at) / step) * (b - a); };
        if (step > 0 && at + step > from && at < to) {
            if (piece.empty())
                piece.push_back(place(std::max(from, at)));
            piece.push_back(at + step <= to ? b : place(to));
        }
        at += step;
    }
    return piece;
}

struct Slice {
    GeosGeometry ground;
    Box box;
};

class Slicer {
public:
    Slicer(const StripForm& form, const AnalysisGrid& analysis) : form_(form), analysis_(analysis)
    {}

    void add(const LineOfPoints& line)
    {
        const double scale = scale_at(line); // metres of the map for one of the ground
        const double length = length_of(line);
        if (length < least_m)
            return;
        const double wished = scale * form_.least_length_m / slices_of_least_length;
        const auto count = static_cast<std::size_t>(std::ceil(length / wished - 1e-9));
        for (std::size_t k = 0; k < count; ++k) {
            const double from = length * static_cast<double>(k) / static_cast<double>(count);
            const double to = length * static_cast<double>(k + 1) / static_cast<double>(count);
            add_slice(piece_of(line, from, to), 0.5 * scale * form_.width_m, (to - from) / scale);
        }
        ++lines_;
    }

    std::vector<SliceGround> take() { return std::move(slices_); }

private:
    double scale_at(const LineOfPoints& line) const
    {
        const Point middle = analysis_.grid.to_map({}, line[line.size() / 2]);
        return std::sqrt(analysis_.ground.at(middle).areal());
    }

    void add_slice(const LineOfPoints& piece, double half_width, double length_m)
    {
        GeosGeometry ground = strip_around(piece, half_width);
        Box box = Box::nothing();
        for (const RawPolygon& polygon : polygons_of(ground.get()))
            for (const Point p : polygon.loops.front())
                box.take_in(p);
        for (const Slice& earlier : earlier_)
            if (ground && earlier.box.meets(box))
                ground = difference(ground, earlier.ground);
        slices_.push_back(
            {lines_, length_m, ground ? polygons_of(ground.get()) : std::vector<RawPolygon>{}});
        if (ground)
            earlier_.push_back({std::move(ground), box});
    }

    const StripForm& form_;
    const AnalysisGrid& analysis_;
    std::uint32_t lines_ = 0;
    std::vector<SliceGround> slices_;
    std::vector<Slice> earlier_;
};

} // namespace

StripLayer read_strip_lines(const LayerSource& lines, const StripForm& form,
                            const AnalysisGrid& analysis)
{
    PlacedLayer layer{"treat.strips", lines, analysis};
    layer.select({});
    StripLayer found;
    Slicer slicer{form, analysis};
    bool any = false;
    layer.for_each([&](const OGRFeature& feature) {
        const OGRGeometry* raw = feature.GetGeometryRef();
        if (!raw || raw->IsEmpty())
            return;
        std::unique_ptr<OGRGeometry> shape{raw->getLinearGeometry()};
        std::vector<LineOfPoints> parts;
        add_lines(*shape, parts);
        for (LineOfPoints& line : parts) {
            for (Point& p : line)
                if (!layer.place(p))
                    throw layer.not_placed(feature, "a vertex");
            for (Point& p : line)
                p = analysis.grid.to_local({}, p);
            any = true;
            layer.shaping(feature, "repair the line", [&] { slicer.add(line); });
        }
    });
    if (!any)
        throw layer.wrong("the layer has no lines", "check treat.strips.layer and where");
    found.slices = slicer.take();
    found.crs = layer.layer_crs();
    return found;
}

} // namespace fuelring
