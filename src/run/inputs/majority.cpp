// SPDX-License-Identifier: Apache-2.0

// Coverage of cells in fixed point, name after name: the same scatter that spreads the surface.
#include "run/inputs/majority.hpp"

#include "coverage/scatter.hpp"
#include "io/cog/cog_writer.hpp"

#include <algorithm>
#include <numeric>

namespace fuelring {

namespace {

constexpr coverage::Int128 whole_cell = coverage::Int128{1} << coverage::fixed_places;
/// A boundary that only touches a cell leaves that much rounding, also below zero.
constexpr std::uint64_t noise = 256;

bool is_below_zero(std::uint64_t fixed)
{
    return fixed > std::uint64_t{1} << 63;
}

} // namespace

Majority::Majority(const std::vector<NamedOutline>& outlines, std::vector<std::string> names,
                   const Grid& grid)
    : names_(std::move(names)), grid_(grid)
{
    for (const NamedOutline& o : outlines) {
        const auto name = std::find(names_.begin(), names_.end(), o.name);
        if (name == names_.end())
            continue;
        const std::size_t number = shapes_.size();
        shapes_.push_back(
            {outline_of(o.footprint), o.frame, static_cast<std::size_t>(name - names_.begin())});
        const CellRect& cells = o.cells;
        for (std::int64_t r = cells.row / out_block_cells;
             r * out_block_cells < cells.row + cells.rows; ++r)
            for (std::int64_t c = cells.col / out_block_cells;
                 c * out_block_cells < cells.col + cells.cols; ++c)
                shapes_of_[{r, c}].push_back(number);
    }
    for (auto& [block, shapes] : shapes_of_)
        std::stable_sort(shapes.begin(), shapes.end(), [&](std::size_t a, std::size_t b) {
            return shapes_[a].name < shapes_[b].name;
        });
}

void Majority::of_cells(const CellRect& rect, Planes& planes, std::span<std::uint16_t> names) const
{
    std::fill(names.begin(), names.end(), static_cast<std::uint16_t>(names_.size()));
    const auto at = shapes_of_.find({rect.row / out_block_cells, rect.col / out_block_cells});
    if (at == shapes_of_.end())
        return;
    const std::vector<std::size_t>& shapes = at->second;
    const auto n = static_cast<std::size_t>(rect.rows * rect.cols);
    planes.best.assign(n, noise);
    planes.rest.assign(n, static_cast<std::uint64_t>(whole_cell));
    for (std::size_t first = 0; first < shapes.size();) {
        planes.cover.assign(n, 0);
        const std::size_t name = shapes_[shapes[first]].name;
        for (; first < shapes.size() && shapes_[shapes[first]].name == name; ++first) {
            const Shape& shape = shapes_[shapes[first]];
            coverage::scatter(shape.outline, shape.frame, grid_, whole_cell, rect, planes.cover);
        }
        for (std::int64_t row = 0; row < rect.rows; ++row) {
            std::uint64_t sum = 0;
            for (auto k = static_cast<std::size_t>(row * rect.cols);
                 k < static_cast<std::size_t>((row + 1) * rect.cols); ++k) {
                sum += planes.cover[k];
                if (is_below_zero(sum) || sum <= noise)
                    continue;
                planes.rest[k] -= sum;
                if (sum > planes.best[k]) {
                    planes.best[k] = sum;
                    names[k] = static_cast<std::uint16_t>(name);
                }
            }
        }
    }
    for (std::size_t k = 0; k < n; ++k) // overlapping outlines leave less than nothing
        if (!is_below_zero(planes.rest[k]) && planes.rest[k] > planes.best[k] + noise)
            names[k] = static_cast<std::uint16_t>(names_.size());
}

} // namespace fuelring
