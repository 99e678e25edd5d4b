// SPDX-License-Identifier: Apache-2.0

// Roads are cut into pieces no longer than a square of the index, so that a long road is found in
// the squares that it passes and in no others. The nearest one is looked for in boxes that double
// their reach until one holds a road as near as it reaches.
#include "run/access/road_network.hpp"

#include "geometry/box_distance.hpp"
#include "io/vector/placed_layer.hpp"

#include <ogr_feature.h>
#include <ogr_geometry.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>

namespace fuelring {

namespace {

constexpr double side_m = 256;

/// Calls visit(from, to) for each straight piece of the lines of a geometry.
template <typename Visit>
void for_each_piece(const OGRGeometry& geometry, Visit&& visit)
{
    const OGRwkbGeometryType type = wkbFlatten(geometry.getGeometryType());
    if (type == wkbLineString) {
        const OGRLineString& line = *geometry.toLineString();
        for (int k = 1; k < line.getNumPoints(); ++k)
            visit(Point{line.getX(k - 1), line.getY(k - 1)}, Point{line.getX(k), line.getY(k)});
    } else if (type == wkbMultiLineString || type == wkbGeometryCollection) {
        for (const OGRGeometry* part : *geometry.toGeometryCollection())
            for_each_piece(*part, visit);
    }
}

/// Where a horizontal line at `y` passes within `reach` of a piece: from x = min to x = max, none
/// where min > max. The places are a disc at each end and the strip between them.
struct Stretch {
    double min = std::numeric_limits<double>::infinity();
    double max = -min;
    void take_in(double x)
    {
        min = std::min(min, x);
        max = std::max(max, x);
    }
};

Stretch stretch_within(Point a, Point b, double reach, double y)
{
    Stretch stretch;
    for (const Point end : {a, b})
        if (const double dy = y - end.y; std::abs(dy) <= reach) {
            const double half = std::sqrt(reach * reach - dy * dy);
            stretch.take_in(end.x - half);
            stretch.take_in(end.x + half);
        }
    const Point along = b - a;
    if (along.length() == 0)
        return stretch;
    const Point out = (reach / along.length()) * Point{-along.y, along.x};
    const Point corners[] = {a + out, b + out, b - out, a - out};
    for (int k = 0; k < 4; ++k) {
        const Point p = corners[k];
        const Point q = corners[(k + 1) % 4];
        if (p.y != q.y && std::min(p.y, q.y) <= y && y <= std::max(p.y, q.y))
            stretch.take_in(p.x + (y - p.y) / (q.y - p.y) * (q.x - p.x));
    }
    return stretch;
}

} // namespace

RoadNetwork::RoadNetwork(const LayerSource& roads, const AnalysisGrid& analysis)
    : analysis_(analysis), cell_width_(analysis.grid.cell_width_m()),
      cell_height_(analysis.grid.cell_height_m()),
      side_(side_m * units_per_metre(analysis.grid.extent()))
{
    PlacedLayer layer{"inputs.roads", roads, analysis};
    layer.select({});
    layer.for_each([&](const OGRFeature& feature) {
        const OGRGeometry* raw = feature.GetGeometryRef();
        if (!raw || raw->IsEmpty())
            return;
        const std::unique_ptr<OGRGeometry> lines{raw->getLinearGeometry()};
        for_each_piece(*lines, [&](Point from, Point to) {
            for (Point* p : {&from, &to}) {
                if (!layer.place(*p))
                    throw layer.not_placed(feature, "a vertex");
                *p = analysis.grid.to_local({}, *p);
            }
            add(from, to);
        });
    });
    if (pieces_.empty())
        throw layer.wrong("the layer has no lines", "check inputs.roads.layer and where");
    crs_ = layer.layer_crs();
}

void RoadNetwork::add(Point from, Point to)
{
    const Point way = to - from;
    const auto parts = static_cast<int>(std::max(1.0, std::ceil(way.length() / side_)));
    for (int k = 0; k < parts; ++k) {
        const auto at = [&](int n) { return n == parts ? to : from + (1.0 * n / parts) * way; };
        const Piece piece{at(k), at(k + 1)};
        const Box box = Box::between(piece.from, piece.to);
        extent_.take_in(box.min);
        extent_.take_in(box.max);
        const auto number = static_cast<std::uint32_t>(pieces_.size());
        pieces_.push_back(piece);
        const auto square = [&](double v) {
            return static_cast<std::int64_t>(std::floor(v / side_));
        };
        for (std::int64_t r = square(box.min.y); r <= square(box.max.y); ++r)
            for (std::int64_t c = square(box.min.x); c <= square(box.max.x); ++c)
                squares_[{r, c}].push_back(number);
    }
}

std::vector<std::uint32_t> RoadNetwork::near(const Box& box, double reach) const
{
    const Box wide = box.grown(reach);
    const Box part{{std::max(wide.min.x, extent_.min.x), std::max(wide.min.y, extent_.min.y)},
                   {std::min(wide.max.x, extent_.max.x), std::min(wide.max.y, extent_.max.y)}};
    std::vector<std::uint32_t> found;
    const auto square = [&](double v) { return static_cast<std::int64_t>(std::floor(v / side_)); };
    if (part.min.x > part.max.x || part.min.y > part.max.y)
        return found;
    for (std::int64_t r = square(part.min.y); r <= square(part.max.y); ++r) {
        const auto end = squares_.upper_bound({r, square(part.max.x)});
        for (auto at = squares_.lower_bound({r, square(part.min.x)}); at != end; ++at)
            found.insert(found.end(), at->second.begin(), at->second.end());
    }
    std::sort(found.begin(), found.end());
    found.erase(std::unique(found.begin(), found.end()), found.end());
    return found;
}

double RoadNetwork::units_per_metre(const CellRect& cells) const
{
    const Point middle =
        analysis_.grid.corner(cells.col + cells.cols / 2, cells.row + cells.rows / 2);
    return std::sqrt(analysis_.ground.at(middle).areal());
}

Box RoadNetwork::box_of(const CellRect& cells) const
{
    return {{static_cast<double>(cells.col) * cell_width_,
             -static_cast<double>(cells.row + cells.rows) * cell_height_},
            {static_cast<double>(cells.col + cells.cols) * cell_width_,
             -static_cast<double>(cells.row) * cell_height_}};
}

double RoadNetwork::distance_m(const std::vector<CellRun>& runs) const
{
    CellRect all;
    for (const CellRun& run : runs)
        all = hull(all, run.rect());
    const Box box = box_of(all);
    double least = std::numeric_limits<double>::infinity(); // squared
    double reach = side_;
    do {
        for (const std::uint32_t number : near(box, reach)) {
            const Piece& piece = pieces_[number];
            if (squared_distance(piece.from, piece.to, box) >= least)
                continue;
            for (const CellRun& run : runs)
                least = std::min(least, squared_distance(piece.from, piece.to, box_of(run.rect())));
        }
        reach *= 2;
    } while (least > 0.25 * reach * reach); // 0.25: of the reach that was looked in
    return std::sqrt(least) / units_per_metre(all);
}

void RoadNetwork::mark_within(const CellRect& cells, double distance_m,
                              std::span<std::uint8_t> within) const
{
    std::fill(within.begin(), within.end(), std::uint8_t{0});
    const double reach = distance_m * units_per_metre(cells);
    for (const std::uint32_t number : near(box_of(cells), reach)) {
        const Piece& piece = pieces_[number];
        for (std::int64_t row = 0; row < cells.rows; ++row) {
            const double y = -(static_cast<double>(cells.row + row) + 0.5) * cell_height_;
            const Stretch stretch = stretch_within(piece.from, piece.to, reach, y);
            if (stretch.min > stretch.max)
                continue;
            // Centres from column to column.
            const auto first = std::max<double>(std::ceil(stretch.min / cell_width_ - 0.5),
                                                static_cast<double>(cells.col));
            const auto last = std::min<double>(std::floor(stretch.max / cell_width_ - 0.5),
                                               static_cast<double>(cells.col + cells.cols - 1));
            for (auto col = static_cast<std::int64_t>(first);
                 col <= static_cast<std::int64_t>(last); ++col)
                within[static_cast<std::size_t>(row * cells.cols + col - cells.col)] = 1;
        }
    }
}

} // namespace fuelring
