// SPDX-License-Identifier: Apache-2.0

// Where outlines cross parcel lines, from the sides of four points. Ties are judged by an
// infinitely small motion of all outlines, up and then left: walls along parcel lines and corners
// on corners become ordinary cases, judged alike wherever they are asked about. Source:
// Edelsbrunner, Muecke, Simulation of simplicity, ACM Transactions on Graphics 9, 1990, pages 66 to
// 104.
#include "geometry/partition/line_cuts.hpp"

#include "geometry/offset/body.hpp"

#include <algorithm>

namespace fuelring {

namespace {

constexpr double arc_margin_m = 1e-9;

/// A point of an outline on a line counts as left of it: moved up, then left, it would be.
bool left(double side)
{
    return side >= 0;
}

/// A corner of dividing lines on a piece is moved the other way: down, then right.
bool corner_left_of(Point along, double side)
{
    if (side != 0)
        return side > 0;
    return along.x != 0 ? along.x < 0 : along.y < 0;
}

/// Parameter of a point of the unit circle, counted from t0: 0 up to a full turn.
double after_start(Point e, const Piece& arc)
{
    const double t = std::atan2(e.y, e.x) - arc.t0;
    return t - std::floor(t / full_turn) * full_turn;
}

/// Rounding may put a crossing near an end of the arc beyond it.
double into_range(double after, double length)
{
    if (after <= length)
        return after;
    return after - length < full_turn - after ? length : 0;
}

} // namespace

Box box_of(const Piece& piece)
{
    return piece.arc ? piece.box().grown(arc_margin_m) : piece.box();
}

Cutter::Cutter(const Piece& piece) : piece_(piece)
{
    if (!piece.arc)
        return;
    circle_ = UnitCircle{piece};
    clockwise_ = cross(piece.u, piece.v) < 0;
    first_ = unit(piece.start - piece.centre);
    last_ = unit(piece.end - piece.centre);
}

/// True where a point of the unit circle is on the arc.
bool Cutter::on_arc(Point e) const
{
    if (piece_.t1 - piece_.t0 < full_turn / 2)
        return cross(first_, e) >= 0 && cross(e, last_) >= 0 && dot(first_ + last_, e) > 0;
    return after_start(e, piece_) <= piece_.t1 - piece_.t0;
}

LineCuts Cutter::operator()(const DividingLine& line) const
{
    return piece_.arc ? cut_arc(line) : cut_line(line);
}

LineCuts Cutter::cut_line(const DividingLine& line) const
{
    const Point along = piece_.end - piece_.start;
    const double side_a = cross(along, line.a - piece_.start);
    const double side_b = cross(along, line.b - piece_.start);
    LineCuts cuts;
    if (corner_left_of(along, side_a) == corner_left_of(along, side_b))
        return cuts;
    const Point d = line.b - line.a;
    const double start = cross(d, piece_.start - line.a);
    const double end = cross(d, piece_.end - line.a);
    if (left(start) == left(end))
        return cuts;
    const double t = std::clamp(start / (start - end), 0.0, 1.0);
    cuts.cut[0] = {piece_.start + t * along, t, std::clamp(side_a / (side_a - side_b), 0.0, 1.0),
                   left(start)};
    cuts.count = 1;
    return cuts;
}

/// A corner of dividing lines on the circle is moved down, then right.
bool Cutter::corner_inside(Point e) const
{
    const double off = (e.x - 1) * (e.x + 1) + e.y * e.y;
    if (off != 0)
        return off < 0;
    const double down = dot(e, unit({0, -1}));
    return down != 0 ? down < 0 : dot(e, unit({1, 0})) < 0;
}

/// Where the arc is a part of the unit circle. The endless line enters the circle at s[0] and
/// leaves it at s[1]; a counter-clockwise arc goes from left to right of it where it enters, back
/// where it leaves, a clockwise one the other way. Which of the two are between the line's ends
/// follows from where these lie, and which are on the arc from the sides of the arc's ends.
LineCuts Cutter::cut_arc(const DividingLine& line) const
{
    LineCuts cuts;
    const Point a = unit(line.a - piece_.centre);
    const Point b = unit(line.b - piece_.centre);
    const bool a_in = corner_inside(a);
    const bool b_in = corner_inside(b);
    if (a_in && b_in)
        return cuts;
    const Point d = b - a;
    // |a + s d|^2 = 1: s = (-a.d +- sqrt(d.d - cross(a, d)^2)) / d.d, since a.a d.d = (a.d)^2 +
    // cross(a, d)^2.
    const double dd = dot(d, d);
    const double off = cross(a, d);
    const double square = dd - off * off;
    const bool from_left = left(cross(line.b - line.a, piece_.start - line.a));
    const bool to_left = left(cross(line.b - line.a, piece_.end - line.a));
    // Where the arc's ends lie on different sides it meets the line, whatever rounding says of one
    // that touches it just there.
    if (square <= 0 && a_in == b_in && from_left == to_left)
        return cuts;
    const double root = std::sqrt(std::max(square, 0.0));
    const std::array<double, 2> s{(-dot(a, d) - root) / dd, (-dot(a, d) + root) / dd};
    if (a_in == b_in && !(s[0] > 0 && s[1] < 1))
        return cuts;
    const bool enters_left = from_left != clockwise_;
    std::array<bool, 2> on{from_left != to_left && enters_left,
                           from_left != to_left && !enters_left};
    if (from_left == to_left) // both or none
        on[0] = on[1] = on_arc(a + s[0] * d) && on_arc(a + s[1] * d);
    on[0] = on[0] && !a_in;
    on[1] = on[1] && !b_in;
    const double length = piece_.t1 - piece_.t0;
    for (std::size_t k = 0; k < 2; ++k) {
        if (!on[k])
            continue;
        Point e = a + s[k] * d;
        e = (1 / e.length()) * e;
        cuts.cut[static_cast<std::size_t>(cuts.count++)] = {
            piece_.centre + e.x * piece_.u + e.y * piece_.v,
            piece_.t0 + into_range(after_start(e, piece_), length), std::clamp(s[k], 0.0, 1.0),
            (k == 0) != clockwise_};
    }
    return cuts;
}

bool encloses(const Outline& outline, Point p)
{
    double right = p.x;
    for (const Piece& piece : outline.pieces) {
        right = std::max({right, piece.start.x, piece.end.x});
        if (piece.arc) // as far as the whole ellipse
            right = std::max(right, piece.centre.x + std::hypot(piece.u.x, piece.v.x));
    }
    const DividingLine ray{p, {right + 1, p.y}, 0, 0};
    bool inside = false;
    for (const Piece& piece : outline.pieces)
        if (cuts_of(piece, ray).count % 2)
            inside = !inside;
    return inside;
}

} // namespace fuelring
