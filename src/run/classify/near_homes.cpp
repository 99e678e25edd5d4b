// SPDX-License-Identifier: Apache-2.0
#include "run/classify/near_homes.hpp"

#include "geometry/box_distance.hpp"
#include "io/cog/cog_writer.hpp"
#include "io/community/community_area.hpp"
#include "io/vector/cells_inside.hpp"
#include "io/vector/placed_layer.hpp"
#include "run/schedule/tiles.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <set>

namespace fuelring {

namespace {

CellRect cells_around(const Box& box)
{
    const auto whole = [](double v) { return static_cast<std::int64_t>(std::floor(v)); };
    const std::int64_t col = whole(box.min.x), row = whole(box.min.y);
    return {col, row, whole(box.max.x) - col + 1, whole(box.max.y) - row + 1};
}

/// A window of cells that are marked.
struct Marks {
    CellRect rect;
    std::vector<std::uint8_t> cells;

    explicit Marks(const CellRect& of)
        : rect{of}, cells(static_cast<std::size_t>(of.cols * of.rows))
    {}
    std::uint8_t& at(std::int64_t row, std::int64_t col)
    {
        return cells[static_cast<std::size_t>((row - rect.row) * rect.cols + col - rect.col)];
    }
    void mark_along(Point a, Point b, double reach)
    {
        Box box = Box::nothing();
        box.take_in(a);
        box.take_in(b);
        const CellRect part = intersection(cells_around(box.grown(reach)), rect);
        for (std::int64_t row = part.row; row < part.row + part.rows; ++row)
            for (std::int64_t col = part.col; col < part.col + part.cols; ++col) {
                const Point centre{static_cast<double>(col) + 0.5, static_cast<double>(row) + 0.5};
                if (squared_distance(centre, a, b) <= reach * reach)
                    at(row, col) = 1;
            }
    }
    void unmark_inside(const RawPolygon& polygon)
    {
        for (const CellRun& run : cells_inside(polygon, rect))
            for (std::int64_t col = run.col; col < run.end(); ++col)
                at(run.row, col) = 0;
    }
};

template <typename Act>
void for_each_edge(const std::vector<RawPolygon>& outline, const Act& act)
{
    for (const RawPolygon& polygon : outline)
        for (const auto& loop : polygon.loops)
            for (std::size_t k = 0; k < loop.size(); ++k)
                act(loop[k], loop[(k + 1) % loop.size()]);
}

/// Reads footprints in cells of the grid.
class FootprintReader {
public:
    FootprintReader(const StructureSource& source, const AnalysisGrid& analysis)
        : layer_{"inputs.structures", source, analysis}, least_m2_{source.min_area_m2}
    {
        if (source.area) {
            area_.emplace(*source.area);
            to_area_.emplace(analysis.crs, area_->crs());
        }
    }

    template <typename Take>
    void for_each(const Take& take)
    {
        const Grid& grid = layer_.analysis().grid;
        layer_.for_each([&](const OGRFeature& feature) {
            std::vector<RawPolygon> outline = layer_.outline_of(feature).polygons;
            if (!is_wanted(feature, outline))
                return;
            for_each_vertex(outline, [&](Point& p) { p = grid.cell_of(p); });
            take(std::move(outline));
        });
    }

private:
    bool is_wanted(const OGRFeature& feature, const std::vector<RawPolygon>& outline) const
    {
        if (outline.empty())
            return false;
        if (least_m2_ > 0 &&
            ground_m2(layer_.polygons_on_grid(feature), layer_.analysis()) < least_m2_)
            return false;
        Point middle = middle_of(outline);
        return !area_ || (to_area_->apply(middle) && area_->holds(middle));
    }

    PlacedLayer layer_;
    double least_m2_;
    std::optional<CommunityArea> area_;
    std::optional<Reprojection> to_area_;
};

} // namespace

NearHomes::NearHomes(const StructureSource& source, const AnalysisGrid& analysis, double cell_m,
                     double near_m)
    : reach_cells_{near_m / cell_m}
{
    FootprintReader reader{source, analysis};
    reader.for_each([&](Outline&& outline) {
        Box box = Box::nothing();
        for_each_vertex(outline, [&](const Point& p) { box.take_in(p); });
        const CellRect reach =
            intersection(cells_around(box.grown(reach_cells_)), analysis.grid.extent());
        if (reach.empty())
            return;
        const auto block = [](std::int64_t cell) { return floor_div(cell, out_block_cells); };
        for (auto row = block(reach.row); row <= block(reach.row + reach.rows - 1); ++row)
            for (auto col = block(reach.col); col <= block(reach.col + reach.cols - 1); ++col)
                by_block_[{row, col}].push_back(homes_.size());
        homes_.push_back({std::move(outline), reach});
    });
}

std::vector<std::size_t> NearHomes::homes_at(const CellRect& rect) const
{
    std::set<std::size_t> found;
    for (auto row = floor_div(rect.row, out_block_cells);
         row <= floor_div(rect.row + rect.rows - 1, out_block_cells); ++row)
        for (auto col = floor_div(rect.col, out_block_cells);
             col <= floor_div(rect.col + rect.cols - 1, out_block_cells); ++col)
            if (const auto at = by_block_.find({row, col}); at != by_block_.end())
                for (const std::size_t k : at->second)
                    if (!intersection(homes_[k].reach, rect).empty())
                        found.insert(k);
    return {found.begin(), found.end()};
}

std::vector<std::uint8_t> NearHomes::cells_in(const CellRect& rect) const
{
    const std::vector<std::size_t> homes = homes_at(rect);
    if (homes.empty())
        return {};
    Marks marks{rect};
    for (const std::size_t k : homes)
        for_each_edge(homes_[k].outline,
                      [&](Point a, Point b) { marks.mark_along(a, b, reach_cells_); });
    for (const std::size_t k : homes)
        for (const RawPolygon& polygon : homes_[k].outline)
            marks.unmark_inside(polygon);
    return std::move(marks.cells);
}

void NearHomes::put(ByteWriter& bytes, const CellRect& rect) const
{
    const std::vector<std::size_t> homes = homes_at(rect);
    bytes(reach_cells_, static_cast<std::uint64_t>(homes.size()));
    for (const std::size_t k : homes)
        for_each_edge(homes_[k].outline, [&](Point a, Point) { bytes(a.x, a.y); });
}

} // namespace fuelring
