// SPDX-License-Identifier: Apache-2.0

// A line meets each grid line once; an arc may meet it twice. Cut where x or y turns, an arc meets
// each line once, too, and one loop serves both.
#include "coverage/walk.hpp"

namespace fuelring::coverage {

namespace {

/// Cuts this close to an end of the arc (radians) are the end.
constexpr double end_slack = 1e-12;

} // namespace

Extremes extremes_of(const Piece& arc)
{
    // x is extreme where (cos t, sin t) runs along (u.x, v.x), y likewise: four angles a turn.
    constexpr double half_turn = std::numbers::pi;
    const std::array<Point, 2> along{Point{arc.u.x, arc.v.x}, Point{arc.u.y, arc.v.y}};
    Extremes found;
    for (const Point m : along) {
        const double length = m.length();
        const Point e{m.x / length, m.y / length};
        const Point offset = e.x * arc.u + e.y * arc.v;
        const double base = std::atan2(m.y, m.x);
        double k = std::floor((arc.t0 + end_slack - base) / half_turn) + 1;
        for (; base + k * half_turn < arc.t1 - end_slack && found.count < 5; ++k) {
            const double sign = std::fmod(std::abs(k), 2) == 0 ? 1 : -1;
            const auto i = static_cast<std::size_t>(found.count++);
            found.t[i] = base + k * half_turn;
            found.at[i] = arc.centre + sign * offset;
        }
    }
    for (int i = 1; i < found.count; ++i) // insertion sort of at most five
        for (auto j = static_cast<std::size_t>(i); j > 0 && found.t[j] < found.t[j - 1]; --j) {
            std::swap(found.t[j], found.t[j - 1]);
            std::swap(found.at[j], found.at[j - 1]);
        }
    return found;
}

Piece in_cells(const Piece& piece, const Grid& grid)
{
    const double w = grid.cell_width_m();
    const double h = grid.cell_height_m();
    const auto cells = [w, h](Point p) { return Point{p.x / w, -p.y / h}; };
    return piece.mapped(cells, cells);
}

} // namespace fuelring::coverage
