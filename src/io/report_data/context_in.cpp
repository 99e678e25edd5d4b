// SPDX-License-Identifier: Apache-2.0
#include "io/report_data/context_in.hpp"

#include "io/vector/placed_layer.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <ogr_feature.h>
#include <ogr_geometry.h>

#include <algorithm>
#include <memory>
#include <utility>

namespace fuelring {

namespace {

using nlohmann::json;

/// Takes the lines and polygons of a geometry, placed and relative to the picture's origin.
class Shapes final : public OGRDefaultConstGeometryVisitor {
public:
    Shapes(const PlacedLayer& layer, Point origin) : layer_(layer), origin_(origin) {}
    using OGRDefaultConstGeometryVisitor::visit;
    void visit(const OGRLineString* line) override
    {
        if (line->getNumPoints() > 1)
            found.lines.push_back(points_of(*line));
    }
    void visit(const OGRPolygon* polygon) override
    {
        PictureShape shape;
        for (const OGRLinearRing* ring : *polygon) {
            Loop loop = points_of(*ring);
            if (loop.size() > 1 && loop.front() == loop.back())
                loop.pop_back();
            if (loop.size() > 2)
                shape.push_back(std::move(loop));
        }
        if (!shape.empty())
            found.areas.push_back(std::move(shape));
    }
    ContextLayer found;
    bool all_placed = true;

private:
    std::vector<Point> points_of(const OGRSimpleCurve& line)
    {
        std::vector<Point> points;
        for (int k = 0; k < line.getNumPoints(); ++k) {
            Point p{line.getX(k), line.getY(k)};
            all_placed = layer_.place(p) && all_placed;
            points.push_back(p - origin_);
        }
        return points;
    }

    const PlacedLayer& layer_;
    Point origin_;
};

/// Throws: nlohmann::json::exception for a word that fuelring map does not write.
ContextKind kind_of(const std::string& word)
{
    json kinds = json::object();
    for (std::size_t k = 0; k < context_kinds.size(); ++k)
        kinds[std::string{context_kinds[k]}] = k;
    return static_cast<ContextKind>(kinds.at(word).get<std::size_t>());
}

ContextLayer read_layer(const std::string& key, const json& from, const RunFolder& run,
                        const RunPicture& picture, const Box& box)
{
    const auto word = [&](const char* name) { return from.value(name, std::string{}); };
    PlacedLayer layer{
        key,
        {.path = word("path"), .layer = word("layer"), .where = word("where"), .crs = word("crs")},
        run.analysis};
    layer.select({});
    ContextLayer all{kind_of(word("kind")), {}, {}};
    layer.for_each([&](const OGRFeature& feature) {
        const OGRGeometry* raw = feature.GetGeometryRef();
        if (!raw || raw->IsEmpty())
            return;
        const std::unique_ptr<OGRGeometry> shape{raw->getLinearGeometry()};
        Shapes shapes{layer, picture.origin};
        shape->accept(&shapes);
        if (!shapes.all_placed)
            throw layer.not_placed(feature, "a vertex");
        Context near = within({{std::move(shapes.found)}, {}}, box);
        if (near.empty())
            return;
        ContextLayer& found = near.layers.front();
        std::move(found.lines.begin(), found.lines.end(), std::back_inserter(all.lines));
        std::move(found.areas.begin(), found.areas.end(), std::back_inserter(all.areas));
    });
    if (all.lines.empty() && all.areas.empty())
        throw layer.wrong("no line or area of it lies in the community",
                          "give lines or polygons of this community, and check " +
                              layer.key_of("crs"));
    return all;
}

} // namespace

Context read_context(const RunFolder& run, const RunPicture& picture, const Box& box)
{
    const json layers =
        picture.manifest.value(json::json_pointer{"/configuration/report/context"}, json::array());
    Context context;
    for (const json& from : layers) {
        const std::string key = fmt::format("report.context[{}]", context.layers.size() + 1);
        context.layers.push_back(read_layer(key, from, run, picture, box));
        const std::string credit = from.value("credit", std::string{});
        if (!credit.empty() && context.credit.find(credit) == std::string::npos)
            context.credit += (context.credit.empty() ? "" : "; ") + credit;
    }
    // What covers ground below what does not.
    std::stable_sort(context.layers.begin(), context.layers.end(),
                     [](const ContextLayer& a, const ContextLayer& b) { return a.kind > b.kind; });
    return context;
}

} // namespace fuelring
