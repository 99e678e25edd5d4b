// SPDX-License-Identifier: Apache-2.0

// The edge-walker: cuts a boundary piece at every grid line it crosses and hands each stretch
// inside one cell to a visitor. Gather and scatter are both visitors of it (README.md here).
//
// Cell coordinates: x in columns to the right, y in rows DOWN, relative to the structure's frame.
// A boundary that runs counter-clockwise in the local frame (y up) has its interior on the side of
// larger x where y (rows) grows.
#pragma once

#include "geometry/piece.hpp"

#include <fuelring/grid.hpp>
#include <fuelring/outline.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace fuelring::coverage {

/// One stretch of boundary inside one cell, in the order of the piece.
/// Law, of unit lines: row <= y0, y1 <= row + 1, and x stays between col and col + 1.
struct Stretch {
    int row = 0;   ///< relative to the frame, downwards
    int col = 0;   ///< relative to the frame
    double y0 = 0; ///< heights of its ends; equal bit for bit to the neighbours' ends
    double y1 = 0;
    double x_dy = 0; ///< integral of (x - col's left line) dy, exact for lines and arcs
};

/// dt - sin dt of an arc of the unit circle from half its chord, s = sin(dt / 2), dt <= pi.
/// Its derivative by s is (1 - cos dt) 2 / sqrt(1 - s^2) = 4 s^2 / sqrt(1 - s^2). Near 0 the
/// integral of that is taken term by term, with 1 / sqrt(1 - s^2) = sum of (2k choose k) (s /
/// 2)^2k: coefficients 4 (2k choose k) / (4^k (2k + 3)). Seven of them are enough up to s^2 = 0.01,
/// where the eighth adds 4e-16 of the whole; asin - s sqrt(1 - s^2) would lose six digits there.
inline double segment_of_half_chord(double s)
{
    const double q = s * s;
    if (q > 0.01) {
        const double half = std::min(s, 1.0);
        return 2 * (std::asin(half) - half * std::sqrt((1 - half) * (1 + half)));
    }
    constexpr std::array c{4. / 3, 2. / 5, 3. / 14, 5. / 36, 35. / 352, 63. / 832, 77. / 1280};
    double sum = c.back();
    for (std::size_t k = c.size() - 1; k-- > 0;)
        sum = sum * q + c[k];
    return sum * q * s;
}

/// A straight part of a boundary: where it meets grid lines.
/// Requires: x_at is asked only where y changes, y_at only where x does.
class LineSection {
public:
    LineSection(Point from, Point to)
        : from_(from), rise_((to.y - from.y) / (to.x - from.x)),
          run_((to.x - from.x) / (to.y - from.y))
    {}
    double y_at(double x) const { return from_.y + (x - from_.x) * rise_; }
    double x_at(double y) const { return from_.x + (y - from_.y) * run_; }
    /// Integral of x dy beyond the trapezoid.
    double segment(Point) const { return 0; }

private:
    Point from_;
    double rise_; ///< not finite, and not used, where the line meets no column
    double run_;
};

/// A part of an ellipse arc that is monotone in x and in y. With e = (cos t, sin t), x is linear
/// in e, so at x = k the component of e along the gradient is q = (k - c.x) / |(u.x, v.x)| and the
/// one across it +-sqrt(1 - q^2), its sign fixed between extremes: no trigonometry per crossing.
/// y is linear in e as well: with mx = (u.x, v.x) and my = (u.y, v.y) it is there c.y + q dot(mx,
/// my) / |mx| +- sqrt(1 - q^2) cross(mx, my) / |mx|, and cross(mx, my) = cross(u, v).
/// Error: some roundings of the coordinate; walk_section keeps each crossing inside its cell.
class ArcSection {
public:
    /// `middle`: (cos t, sin t) of a parameter inside the section.
    ArcSection(const Piece& arc, Point middle) : c_(arc.centre), on_circle_(arc.u, arc.v)
    {
        const Point mx{arc.u.x, arc.v.x};
        const Point my{arc.u.y, arc.v.y};
        const double lx = std::hypot(mx.x, mx.y);
        const double ly = std::hypot(my.x, my.y);
        det_ = cross(arc.u, arc.v);
        per_x_ = 1 / lx;
        per_y_ = 1 / ly;
        along_ = dot(mx, my);
        const double sx = cross(mx, middle) < 0 ? -1 : 1;
        const double sy = cross(my, middle) < 0 ? -1 : 1;
        y_along_ = along_ * per_x_;
        y_across_ = sx * det_ * per_x_;
        x_along_ = along_ * per_y_;
        x_across_ = -sy * det_ * per_y_;
    }
    double y_at(double x) const
    {
        const double q = (x - c_.x) * per_x_;
        return c_.y + q * y_along_ + y_across_ * std::sqrt(std::max(0.0, (1 - q) * (1 + q)));
    }
    double x_at(double y) const
    {
        const double q = (y - c_.y) * per_y_;
        return c_.x + q * x_along_ + x_across_ * std::sqrt(std::max(0.0, (1 - q) * (1 + q)));
    }
    /// Integral of x dy beyond the trapezoid for a stretch with this chord: affine maps multiply
    /// areas by their determinant, and on the unit circle the segment is (dt - sin dt) / 2.
    /// At most half a turn, as sections between extremes are.
    double segment(Point chord) const
    {
        return det_ / 2 * segment_of_half_chord(on_circle_(chord).length() / 2);
    }

private:
    Point c_;
    double det_, along_, per_x_, per_y_;
    double y_along_, y_across_, x_along_, x_across_;
    InverseBasis on_circle_; ///< the ellipse as the unit circle
};

/// Grid lines of one axis at whole numbers. Cell k lies between lines k and k + 1.
/// Requires: coordinates that fit 32 bits.
struct UnitLines {
    static double at(int k) { return k; }
    /// First cell of a run that starts at `a` and goes towards `b`.
    /// A start on a line belongs to the cell that the run enters.
    static int first_cell(double a, double b)
    {
        return static_cast<int>(b < a ? std::ceil(a) - 1 : std::floor(a));
    }
};

/// Where the walk stands along one axis: cells still to cross and the next grid line. A coordinate
/// that is on a line belongs to the cell on the side from which or to which the section goes, so a
/// section that ends on a line does not cross it.
template <typename Lines>
struct Axis {
    int cell;
    int step; ///< -1 or 1
    int left; ///< grid lines still to cross
    double line(const Lines& lines) const { return lines.at(step > 0 ? cell + 1 : cell); }

    Axis(const Lines& lines, double from, double to)
        : cell(lines.first_cell(from, to)), step(to < from ? -1 : 1),
          left(std::abs(lines.first_cell(to, from) - cell))
    {
        if (from == to)
            left = 0;
    }
};

/// The lines of a grid along both axes. `Lines` has at(k), the place of line k, and first_cell(a,
/// b) as UnitLines; lines rise with k.
/// Default: lines at whole numbers, as in cell coordinates.
template <typename Lines>
struct GridLines {
    Lines x; ///< between columns
    Lines y; ///< between rows
};

/// Walks one monotone section from one grid-line crossing to the next: merges the crossings of
/// columns and those of rows, of which each axis knows its next one.
/// Law: as `walk`; every stretch lies in the closed cell it is told for, whatever rounding does.
template <typename Lines, typename Section, typename Visit>
void walk_section(const GridLines<Lines>& lines, const Section& section, Point from, Point to,
                  Visit&& visit)
{
    Axis<Lines> cols{lines.x, from.x, to.x};
    Axis<Lines> rows{lines.y, from.y, to.y};
    double y_at_line = cols.left ? section.y_at(cols.line(lines.x)) : 0;
    double x_at_line = rows.left ? section.x_at(rows.line(lines.y)) : 0;
    Point at = from;
    const auto emit = [&](Point next) {
        const double dy = next.y - at.y;
        visit(Stretch{rows.cell, cols.cell, at.y, next.y,
                      ((at.x + next.x) / 2 - lines.x.at(cols.cell)) * dy +
                          section.segment(next - at)});
        at = next;
    };
    while (cols.left || rows.left) {
        const bool column_first =
            !rows.left || (cols.left && (x_at_line - cols.line(lines.x)) * cols.step >= 0);
        if (column_first) {
            // Heights stay inside the row and short of the end, whatever rounding does.
            const double end = rows.left ? rows.line(lines.y) : to.y;
            const double y = std::clamp(y_at_line, std::min(at.y, end), std::max(at.y, end));
            emit({cols.line(lines.x), y});
            cols.cell += cols.step;
            if (--cols.left)
                y_at_line = section.y_at(cols.line(lines.x));
        } else {
            const double end = cols.left ? cols.line(lines.x) : to.x;
            const double x = std::clamp(x_at_line, std::min(at.x, end), std::max(at.x, end));
            emit({x, rows.line(lines.y)});
            rows.cell += rows.step;
            if (--rows.left)
                x_at_line = section.x_at(rows.line(lines.y));
        }
    }
    emit(to);
}

/// Parameters of the extremes of an arc in x and y, rising, strictly inside (t0, t1).
/// An arc of a whole turn has four, and a fifth where it begins at one and passes it again.
/// `at`: the points of the arc there, which both sections end or begin with, bit for bit.
struct Extremes {
    std::array<double, 5> t{};
    std::array<Point, 5> at{};
    int count = 0;
};
/// Law: between two neighbours x and y are monotone. Exact but for rounding: no iteration.
Extremes extremes_of(const Piece& arc);

/// A piece of the local frame (metres, y up) in cell coordinates (columns, rows down). The mirror
/// turns boundaries round: integrals change their sign.
/// `grid`: that of the frame (Grid::at_scale). An arc of a circle becomes one of an ellipse.
Piece in_cells(const Piece& piece, const Grid& grid);

/// Calls visit(Stretch) for each stretch of `piece` inside one cell of the grid with these lines,
/// in the coordinates of which the piece is; every point of it lies between the outermost lines.
/// Law: the heights telescope from start.y to end.y; x_dy + lines.x.at(col) dy sums to the piece's
/// own integral of x dy.
template <typename Lines, typename Visit>
void walk(const GridLines<Lines>& lines, const Piece& piece, Visit&& visit)
{
    if (!piece.arc) {
        walk_section(lines, LineSection{piece.start, piece.end}, piece.start, piece.end, visit);
        return;
    }
    const Extremes cuts = extremes_of(piece);
    Point from = piece.start;
    double t = piece.t0;
    for (int k = 0; k <= cuts.count; ++k) {
        const auto i = static_cast<std::size_t>(k);
        const bool last = k == cuts.count;
        const Point to = last ? piece.end : cuts.at[i];
        const double next_t = last ? piece.t1 : cuts.t[i];
        const double middle = (t + next_t) / 2;
        walk_section(lines, ArcSection{piece, {std::cos(middle), std::sin(middle)}}, from, to,
                     visit);
        from = to;
        t = next_t;
    }
}

/// The same in cell coordinates.
template <typename Visit>
void walk(const Piece& piece, Visit&& visit)
{
    walk(GridLines<UnitLines>{}, piece, visit);
}

} // namespace fuelring::coverage
