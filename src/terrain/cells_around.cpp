// SPDX-License-Identifier: Apache-2.0

// All ground within r of a footprint is the union of discs about its vertices and strips along its
// edges. Each of them is convex, so it meets a row of cell centres in one interval; the footprint
// itself is taken off by the places where the row passes a wall, in pairs. So the cost is rows
// times edges, not cells times edges.
#include "terrain/cells_around.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace fuelring {

CellsAround::CellsAround(const Footprint& footprint, const HeightLattice& lattice, double within_m)
    : at_{lattice.at}, within_m_{within_m}, width_m_{lattice.col_step.length()}
{
    const Point along = (1 / width_m_) * lattice.col_step;
    const auto in_rows = [&along](Point d) { return Point{dot(along, d), cross(along, d)}; };
    row_step_ = in_rows(lattice.row_step);
    for (const Loop& loop : footprint.loops)
        for (std::size_t k = 0; k < loop.size(); ++k) {
            const Point from = in_rows(loop[k] - lattice.origin);
            const Point to = in_rows(loop[(k + 1) % loop.size()] - lattice.origin);
            const Point d = to - from;
            edges_.push_back({from, to, (within_m / d.length()) * Point{d.y, -d.x}});
        }
}

void CellsAround::choose(std::int64_t row, std::int64_t first_col, std::span<std::uint8_t> chosen)
{
    std::fill(chosen.begin(), chosen.end(), std::uint8_t{0});
    const auto rows = static_cast<double>(row - at_.row);
    const double y = rows * row_step_.y;
    first_x_ = rows * row_step_.x + static_cast<double>(first_col - at_.col) * width_m_;
    for (const Edge& edge : edges_) {
        if (std::min(edge.from.y, edge.to.y) - within_m_ > y ||
            std::max(edge.from.y, edge.to.y) + within_m_ < y)
            continue;
        add_disc(chosen, edge.from, y);
        add_strip(chosen, edge, y);
    }
    take_roof_off(chosen, y);
}

void CellsAround::fill(std::span<std::uint8_t> chosen, double from_x, double to_x,
                       std::uint8_t value) const
{
    const auto most = static_cast<double>(chosen.size());
    const double first = std::clamp(std::ceil((from_x - first_x_) / width_m_), 0.0, most);
    const double end = std::clamp(std::floor((to_x - first_x_) / width_m_) + 1, first, most);
    std::fill(chosen.begin() + static_cast<std::ptrdiff_t>(first),
              chosen.begin() + static_cast<std::ptrdiff_t>(end), value);
}

void CellsAround::add_disc(std::span<std::uint8_t> chosen, Point centre, double y) const
{
    const double d = y - centre.y;
    if (std::abs(d) > within_m_)
        return;
    const double half = std::sqrt((within_m_ - d) * (within_m_ + d));
    fill(chosen, centre.x - half, centre.x + half, 1);
}

void CellsAround::add_strip(std::span<std::uint8_t> chosen, const Edge& edge, double y) const
{
    const std::array<Point, 4> corners{edge.from + edge.out, edge.to + edge.out, edge.to - edge.out,
                                       edge.from - edge.out};
    double from_x = HUGE_VAL;
    double to_x = -HUGE_VAL;
    for (std::size_t k = 0; k < corners.size(); ++k) {
        const Point a = corners[k];
        const Point b = corners[(k + 1) % corners.size()];
        // Half-open, so a corner level with the row counts once.
        if ((a.y > y) == (b.y > y))
            continue;
        const double x = a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x);
        from_x = std::min(from_x, x);
        to_x = std::max(to_x, x);
    }
    if (from_x <= to_x)
        fill(chosen, from_x, to_x, 1);
}

void CellsAround::take_roof_off(std::span<std::uint8_t> chosen, double y)
{
    walls_.clear();
    for (const Edge& edge : edges_)
        if ((edge.from.y > y) != (edge.to.y > y))
            walls_.push_back(edge.from.x + (y - edge.from.y) / (edge.to.y - edge.from.y) *
                                               (edge.to.x - edge.from.x));
    std::sort(walls_.begin(), walls_.end());
    for (std::size_t k = 0; k + 1 < walls_.size(); k += 2)
        fill(chosen, walls_[k], walls_[k + 1], 0);
}

} // namespace fuelring
