// SPDX-License-Identifier: Apache-2.0

// Polygons of one value are covered together, the smallest value first: so the first of those that
// cover as much is the smallest. All sums are whole numbers, and no cell asks what lies beyond it.
#include "io/fuel_layer/fuel_burner.hpp"

#include "coverage/scatter.hpp"

#include <algorithm>
#include <stdexcept>

namespace fuelring {

namespace {

constexpr std::int64_t whole_cell = std::int64_t{1} << 20; ///< of rounded covers

/// A cover to a millionth of a cell, which is far above what fixed point leaves.
std::int64_t rounded(std::int64_t fixed)
{
    constexpr int dropped = coverage::fixed_places - 20;
    return (fixed + (std::int64_t{1} << (dropped - 1))) >> dropped;
}

Point on_frame(LatticePoint p, Point origin)
{
    return from_lattice(p) - origin;
}

} // namespace

void FuelBurner::burn(const CellRect& rect, std::span<std::int64_t> out)
{
    if (out.size() != static_cast<std::size_t>(rect.cols * rect.rows))
        throw std::logic_error{"FuelBurner::burn: the room does not fit the window"};
    std::fill(out.begin(), out.end(), no_fuel_value);
    total_.assign(out.size(), 0);
    (layer_.holds_shares() ? weighted_ : best_).assign(out.size(), 0);
    const std::vector<FuelGround>& grounds = layer_.grounds();
    for (std::size_t first = 0, last = 0; first < grounds.size(); first = last) {
        CellRect cells;
        for (; last < grounds.size() && grounds[last].value == grounds[first].value; ++last)
            cells = hull(cells, intersection(grounds[last].cells, rect));
        if (cells.empty())
            continue;
        cover(first, last, cells);
        take(grounds[first].value, cells, rect, out);
    }
    for (std::size_t k = 0; k < out.size(); ++k)
        if (rounded(total_[k]) < whole_cell / 2)
            out[k] = no_fuel_value;
        else if (layer_.holds_shares())
            out[k] = (weighted_[k] + total_[k] / 2) / total_[k];
}

void FuelBurner::cover(std::size_t first, std::size_t last, const CellRect& cells)
{
    cover_.assign(static_cast<std::size_t>(cells.rows * cells.cols), 0);
    for (std::size_t k = first; k < last; ++k) {
        const FuelGround& ground = layer_.grounds()[k];
        if (!intersection(ground.cells, cells).empty())
            coverage::scatter(outline_in(ground, cells), {ground.cells.col, ground.cells.row},
                              layer_.grid(), coverage::Int128{1} << coverage::fixed_places, cells,
                              cover_);
    }
}

/// In the frame of the ground's first cell, without the lines that scatter would leave out.
const Outline& FuelBurner::outline_in(const FuelGround& ground, const CellRect& cells)
{
    const Grid& grid = layer_.grid();
    const double width = grid.cell_width_m();
    const double height = grid.cell_height_m();
    const Point origin{static_cast<double>(ground.cells.col) * width,
                       -static_cast<double>(ground.cells.row) * height};
    constexpr double margin_cells = 2;
    const double top = -(static_cast<double>(cells.row) - margin_cells) * height;
    const double bottom = -(static_cast<double>(cells.row + cells.rows) + margin_cells) * height;
    const double right = (static_cast<double>(cells.col + cells.cols) + margin_cells) * width;
    outline_.pieces.clear();
    for (const LatticeSegment& line : ground.lines) {
        const Point a = from_lattice(line.a);
        const Point b = from_lattice(line.b);
        if ((a.y < bottom && b.y < bottom) || (a.y > top && b.y > top) ||
            (a.x > right && b.x > right))
            continue;
        outline_.pieces.push_back(Piece::line(on_frame(line.a, origin), on_frame(line.b, origin)));
    }
    return outline_;
}

void FuelBurner::take(std::int64_t value, const CellRect& cells, const CellRect& rect,
                      std::span<std::int64_t> out)
{
    std::size_t from = 0;
    for (std::int64_t row = cells.row; row < cells.row + cells.rows; ++row) {
        auto to = static_cast<std::size_t>((row - rect.row) * rect.cols + cells.col - rect.col);
        std::uint64_t sum = 0;
        for (std::int64_t col = 0; col < cells.cols; ++col, ++from, ++to) {
            sum += cover_[from];
            const auto covered = static_cast<std::int64_t>(sum);
            total_[to] += covered;
            if (layer_.holds_shares()) {
                weighted_[to] += covered * value;
            } else if (const std::int64_t part = rounded(covered); part > best_[to]) {
                best_[to] = part;
                out[to] = value;
            }
        }
    }
}

} // namespace fuelring
