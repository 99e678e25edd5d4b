// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/piece.hpp"

#include <fuelring/outline.hpp>

#include <array>

namespace fuelring {

/// A straight line that divides the plane beside it: what lies left of a -> b and what lies right.
/// a is before b: further left, or as far and lower.
struct DividingLine {
    Point a;
    Point b;
    int left = 0; ///< labels; their meaning is the caller's
    int right = 0;
};

/// Where a piece of an outline crosses a dividing line.
struct LineCut {
    Point at;                ///< the same bits for the piece and for the line
    double t = 0;            ///< along the piece: 0 to 1 for lines, t0 to t1 for arcs
    double s = 0;            ///< along the line, 0 to 1
    bool leaves_left = true; ///< the piece goes from the line's left to its right: the line
                             ///< enters the region of the outline there
};
/// Two at most: a line meets a convex curve no more often.
struct LineCuts {
    std::array<LineCut, 2> cut;
    int count = 0;
};

/// The crossings, in no order.
///
/// Whether there is one follows from the sides of four points: the piece's ends beside the line,
/// and the line's ends beside the piece. Neighbouring pieces share ends, and so do lines, so all of
/// them judge a place alike. A point that lies on a line, or a corner on a piece, is judged as if
/// all outlines were moved up by an infinitely small amount, and left by one that is smaller still:
/// walls along parcel lines and corners on corners need no tolerance.
class Cutter {
public:
    /// The piece must outlive this.
    explicit Cutter(const Piece& piece);
    /// Cost: no trigonometry unless an arc is met.
    LineCuts operator()(const DividingLine& line) const;

private:
    LineCuts cut_line(const DividingLine& line) const;
    LineCuts cut_arc(const DividingLine& line) const;
    bool corner_inside(Point e) const;
    bool on_arc(Point e) const;
    Point unit(Point d) const { return circle_.vector(d); }

    const Piece& piece_;
    UnitCircle circle_; ///< of an arc
    bool clockwise_ = false;
    Point first_; ///< ends of the arc there
    Point last_;
};
inline LineCuts cuts_of(const Piece& piece, const DividingLine& line)
{
    return Cutter{piece}(line);
}

/// True where `p`, a corner of dividing lines, lies inside the outline, by the same judgement.
/// Even-odd along a ray to larger x. Cost: one test for each piece.
bool encloses(const Outline& outline, Point p);

/// Box around a piece; that of an arc has a margin of a nanometre.
Box box_of(const Piece& piece);

} // namespace fuelring
