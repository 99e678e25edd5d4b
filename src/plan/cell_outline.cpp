// SPDX-License-Identifier: Apache-2.0

// The outline of cells: directed edges between a cell of the set and one that is not, strung
// together from corner to corner.
#include "base/disjoint_sets.hpp"
#include "plan/units.hpp"

#include <algorithm>
#include <compare>
#include <map>
#include <tuple>

namespace fuelring::plan {

namespace {

/// A corner of cells: edges are looked up by where they start.
struct Corner {
    std::int64_t y;
    std::int64_t x;
    friend auto operator<=>(const Corner&, const Corner&) = default;
};

/// Directed edges of the outline, the cells to the right of each; y counts downwards.
std::multimap<Corner, Corner> edges_of(const std::vector<CellRun>& a, const std::vector<CellRun>& b)
{
    std::vector<CellRun> runs = a;
    runs.insert(runs.end(), b.begin(), b.end());
    put_in_order(runs);
    std::map<std::int64_t, std::vector<CellRun>> rows;
    for (const CellRun& run : runs)
        rows[run.row].push_back(run);
    const auto holds = [&](std::int64_t row, std::int64_t col) {
        const auto at = rows.find(row);
        return at != rows.end() &&
               std::any_of(at->second.begin(), at->second.end(), [&](const CellRun& run) {
                   return run.col <= col && col < run.col + run.cols;
               });
    };
    std::multimap<Corner, Corner> edges;
    for (const CellRun& run : runs) {
        const std::int64_t end = run.col + run.cols;
        edges.emplace(Corner{run.row + 1, run.col}, Corner{run.row, run.col});
        edges.emplace(Corner{run.row, end}, Corner{run.row + 1, end});
        for (std::int64_t col = run.col; col < end; ++col) {
            if (!holds(run.row - 1, col))
                edges.emplace(Corner{run.row, col}, Corner{run.row, col + 1});
            if (!holds(run.row + 1, col))
                edges.emplace(Corner{run.row + 1, col + 1}, Corner{run.row + 1, col});
        }
    }
    return edges;
}

/// Where two edges start in one corner, two cells meet there by their corners. They are joined
/// elsewhere, since the set is one patch, so one of the gaps between them is enclosed: the turn to
/// the left gives it a loop of its own, and every loop visits a corner once.
std::multimap<Corner, Corner>::iterator next_edge(std::multimap<Corner, Corner>& edges,
                                                  const Corner& from, const Corner& to)
{
    auto [first, last] = edges.equal_range(to);
    if (std::next(first) == last)
        return first;
    for (auto edge = first; edge != last; ++edge) {
        const std::int64_t in_x = to.x - from.x;
        const std::int64_t in_y = to.y - from.y;
        const std::int64_t out_x = edge->second.x - to.x;
        const std::int64_t out_y = edge->second.y - to.y;
        if (in_x * out_y - in_y * out_x < 0) // y downwards: left
            return edge;
    }
    return first;
}

bool is_straight(Point a, Point b, Point c)
{
    return (a.x == b.x && b.x == c.x) || (a.y == b.y && b.y == c.y);
}

void append_corner(Loop& loop, const Corner& corner)
{
    const Point p{static_cast<double>(corner.x), static_cast<double>(corner.y)};
    if (loop.size() >= 2 && is_straight(loop[loop.size() - 2], loop.back(), p))
        loop.back() = p;
    else
        loop.push_back(p);
}

} // namespace

std::vector<Loop> outline_of_cells(const std::vector<CellRun>& a, const std::vector<CellRun>& b)
{
    std::multimap<Corner, Corner> edges = edges_of(a, b);
    std::vector<Loop> loops;
    while (!edges.empty()) {
        Loop loop;
        auto edge = edges.begin(); // a top left corner: the edge up or the edge right of it
        Corner from = edge->first;
        const Corner start = from;
        Corner to = edge->second;
        edges.erase(edge);
        append_corner(loop, from);
        while (to != start) {
            append_corner(loop, to);
            edge = next_edge(edges, from, to);
            from = to;
            to = edge->second;
            edges.erase(edge);
        }
        if (is_straight(loop[loop.size() - 2], loop.back(), loop.front()))
            loop.pop_back();
        loops.push_back(std::move(loop));
    }
    return loops;
}

namespace {

/// Runs by the patch that they belong to.
DisjointSets<std::size_t> patches_of(const std::vector<CellRun>& cells)
{
    DisjointSets<std::size_t> patches{cells.size()};
    std::size_t above = 0; // the first run that may touch the one below
    for (std::size_t k = 0; k < cells.size(); ++k) {
        if (k > 0 && cells[k - 1].ends_at(cells[k]))
            patches.unite(k - 1, k);
        while (above < k &&
               (cells[above].row < cells[k].row - 1 ||
                (cells[above].row == cells[k].row - 1 && cells[above].end() <= cells[k].col)))
            ++above;
        for (std::size_t a = above;
             a < k && cells[a].row == cells[k].row - 1 && cells[a].col < cells[k].end(); ++a)
            patches.unite(a, k);
    }
    return patches;
}

} // namespace

bool is_one_patch(const std::vector<CellRun>& cells)
{
    DisjointSets<std::size_t> patches = patches_of(cells);
    for (std::size_t k = 0; k < cells.size(); ++k)
        if (patches.find(k) != 0)
            return false;
    return true;
}

std::vector<Loop> outline_of_patches(const std::vector<CellRun>& cells)
{
    DisjointSets<std::size_t> patches = patches_of(cells);
    std::map<std::size_t, std::vector<CellRun>> by_patch;
    for (std::size_t k = 0; k < cells.size(); ++k)
        by_patch[patches.find(k)].push_back(cells[k]);
    std::vector<Loop> loops;
    for (const auto& [first, runs] : by_patch) {
        std::vector<Loop> of_patch = outline_of_cells(runs, {});
        std::move(of_patch.begin(), of_patch.end(), std::back_inserter(loops));
    }
    return loops;
}

} // namespace fuelring::plan
