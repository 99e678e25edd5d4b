// SPDX-License-Identifier: Apache-2.0
#include "change/cell_parts.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

using namespace fuelring;

namespace {

constexpr std::size_t side = 6;        ///< foreign cells in a row
constexpr std::size_t line = side + 1; ///< corners in a row
constexpr double cell = 1.25;          ///< in cells of ours: six of them cover four, however turned

/// Foreign cells about the middle of four of ours, turned, of which the corner in the middle is
/// dragged towards the next one: the nearer it comes, the thinner the cell that is bent about it.
ForeignCells bent_cells(double angle, Point dragged)
{
    ForeignCells cells{side, {}, {}};
    const Point across{std::cos(angle), std::sin(angle)};
    const Point down{-std::sin(angle), std::cos(angle)};
    for (std::size_t k = 0; k < line * line; ++k) {
        Point at{static_cast<double>(k % line) - side / 2.0,
                 static_cast<double>(k / line) - side / 2.0};
        if (k == line * line / 2)
            at = at + dragged;
        cells.corners.push_back(Point{2, 2} + (cell * at.x) * across + (cell * at.y) * down);
    }
    for (std::size_t k = 0; k < side * side; ++k)
        cells.share.push_back(static_cast<std::uint16_t>(k)); // all differ: every part is cut
    return cells;
}

/// Half the cross product of the diagonals, of any quadrilateral.
double area_of_cell(const ForeignCells& cells, std::size_t number)
{
    const Point* c = &cells.corners[number / side * line + number % side];
    return cross(c[line + 1] - c[0], c[line] - c[1]) / 2;
}

} // namespace

TEST_CASE("cells that are bent inwards divide every part among them, and keep their area")
{
    std::mt19937_64 random{20261129};
    std::uniform_real_distribution<double> unit{0, 1};
    int bent = 0;
    for (int k = 0; k < 1500; ++k) {
        CAPTURE(k);
        const Point dragged{1 - std::exp(-5 * unit(random)), 1 - std::exp(-5 * unit(random))};
        const ForeignCells cells = bent_cells(2 * std::numbers::pi * unit(random), dragged);
        const CellParts parts{{0, 0, 4, 4}, cells};
        std::vector<double> found(side * side);
        double worst = 0;
        for (std::size_t row = 0; row < parts.rows(); ++row)
            for (std::size_t col = 0; col < parts.cols(); ++col) {
                double sum = 0;
                parts.for_each(row, col, [&](std::size_t number, double frac) {
                    found[number] += frac / (CellParts::divisions * CellParts::divisions);
                    sum += frac;
                });
                worst = std::max(worst, std::abs(sum - 1));
            }
        CHECK(worst < 1e-12);
        // The cell that the corner is dragged into: concave once it passes the diagonal, and then
        // cut into up to nine corners.
        constexpr std::size_t thin = side / 2 * side + side / 2;
        CHECK(found[thin] == doctest::Approx(area_of_cell(cells, thin)).epsilon(1e-9));
        bent += dragged.x + dragged.y > 1 ? 1 : 0;
    }
    CHECK(bent > 500);
}
