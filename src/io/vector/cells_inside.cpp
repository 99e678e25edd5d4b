// SPDX-License-Identifier: Apache-2.0

// Where the line through the centres of a row crosses the polygon's edges, the inside begins and
// ends in turn. An edge counts its upper end and not its lower one, a stretch its left end and not
// its right one, and an edge is walked from its upper end whichever way it was drawn: so a centre
// on an edge that two polygons share falls to one of them.
#include "io/vector/cells_inside.hpp"

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

struct Edge {
    Point top; ///< the smaller row
    Point bottom;
};

/// Edges that are not level, from the top down.
std::vector<Edge> edges_of(const RawPolygon& polygon)
{
    std::vector<Edge> edges;
    for (const Loop& loop : polygon.loops)
        for (std::size_t k = 0; k < loop.size(); ++k) {
            const Point a = loop[k];
            const Point b = loop[(k + 1) % loop.size()];
            if (a.y != b.y)
                edges.push_back(a.y < b.y ? Edge{a, b} : Edge{b, a});
        }
    std::sort(edges.begin(), edges.end(),
              [](const Edge& a, const Edge& b) { return a.top.y < b.top.y; });
    return edges;
}

/// The first whole number whose centre does not lie before a place, within [low, high].
std::int64_t first_centre_from(double place, std::int64_t low, std::int64_t high)
{
    const double clamped =
        std::clamp(std::ceil(place - 0.5), static_cast<double>(low), static_cast<double>(high));
    return static_cast<std::int64_t>(clamped);
}

} // namespace

std::vector<CellRun> cells_inside(const RawPolygon& polygon, const CellRect& extent)
{
    std::vector<CellRun> runs;
    const std::vector<Edge> edges = edges_of(polygon);
    if (edges.empty())
        return runs;
    double lowest = edges.front().bottom.y;
    for (const Edge& edge : edges)
        lowest = std::max(lowest, edge.bottom.y);
    const std::int64_t end_col = extent.col + extent.cols;
    const std::int64_t end = first_centre_from(lowest, extent.row, extent.row + extent.rows);
    std::vector<Edge> open; ///< that may cross the row
    std::size_t next = 0;
    std::vector<double> crossings;
    for (std::int64_t row =
             first_centre_from(edges.front().top.y, extent.row, extent.row + extent.rows);
         row < end; ++row) {
        const double y = static_cast<double>(row) + 0.5;
        for (; next < edges.size() && edges[next].top.y <= y; ++next)
            open.push_back(edges[next]);
        std::erase_if(open, [y](const Edge& edge) { return edge.bottom.y <= y; });
        crossings.clear();
        for (const Edge& e : open)
            crossings.push_back(e.top.x +
                                (y - e.top.y) / (e.bottom.y - e.top.y) * (e.bottom.x - e.top.x));
        std::sort(crossings.begin(), crossings.end());
        for (std::size_t k = 0; k + 1 < crossings.size(); k += 2) {
            const std::int64_t from = first_centre_from(crossings[k], extent.col, end_col);
            const std::int64_t to = first_centre_from(crossings[k + 1], extent.col, end_col);
            if (from < to)
                runs.push_back({row, from, to - from});
        }
    }
    return runs;
}

} // namespace fuelring
