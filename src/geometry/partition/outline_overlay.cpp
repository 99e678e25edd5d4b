// SPDX-License-Identifier: Apache-2.0

// Outlines and lines are cut where they cross, both at the same point. Between two cuts a piece of
// an outline has one label, which the lines at its ends tell; without cuts it has that of the piece
// before, or a look at the map tells. A stretch of a line lies in one ring, which the outlines at
// its ends tell. No figure is closed by subtraction: whether the boundary of every part closes is
// the check, on the bits of the points.
#include "geometry/partition/outline_overlay.hpp"

#include "geometry/point_hash.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <utility>

namespace fuelring {

namespace {

/// A cut as a piece sees it.
struct PieceCut {
    double t;
    Point at;
    int before;
    int after;
};

/// A cut as a line sees it.
struct CutOfLine {
    std::uint32_t line;
    double s;
    Point at;
    std::size_t outline;
    bool enters;
};

constexpr double band_margin_m = 1e-6; ///< far more than distances round to

/// Distances from one point within which an outline's boundary lies: lines nearer or further as a
/// whole do not meet it.
struct Band {
    double nearest = 0;
    double furthest = 0;
    bool inside = false; ///< the point is enclosed

    bool may_meet(double near, double far) const { return far >= nearest && near <= furthest; }
};

/// Half-axes of an ellipse, the shorter one first.
/// Their squares are the eigenvalues of (u.u, u.v; u.v, v.v).
std::pair<double, double> half_axes(Point u, Point v)
{
    const double sum = dot(u, u) + dot(v, v);
    const double rest = std::hypot(dot(u, u) - dot(v, v), 2 * dot(u, v));
    return {std::sqrt(std::max(0.0, (sum - rest) / 2)), std::sqrt((sum + rest) / 2)};
}

double distance(Point p, Point a, Point b)
{
    const Point d = b - a;
    const double length = dot(d, d);
    const double t = length > 0 ? std::clamp(dot(p - a, d) / length, 0.0, 1.0) : 0.0;
    return (p - a - t * d).length();
}

Band band_of(const Outline& outline, Point centre)
{
    Band band{HUGE_VAL, 0, encloses(outline, centre)};
    for (const Piece& piece : outline.pieces) {
        if (piece.arc) {
            const auto [shorter, longer] = half_axes(piece.u, piece.v);
            const double aside = (piece.centre - centre).length();
            band.nearest = std::min(band.nearest, shorter - aside);
            band.furthest = std::max(band.furthest, longer + aside);
        } else {
            band.nearest = std::min(band.nearest, distance(centre, piece.start, piece.end));
            band.furthest = std::max(
                {band.furthest, (piece.start - centre).length(), (piece.end - centre).length()});
        }
    }
    band.nearest -= band_margin_m;
    band.furthest += band_margin_m;
    return band;
}

class Divider {
public:
    Divider(std::span<const Outline> outlines, std::span<const DividingLine> lines,
            const std::function<int(Point)>& label_at)
        : outlines_(outlines), lines_(lines), label_at_(label_at)
    {
        centre_ = outlines.empty() ? Point{} : bounds(outlines.front()).centre();
        boxes_.reserve(lines.size());
        reach_.reserve(lines.size());
        for (const DividingLine& line : lines) {
            boxes_.push_back(Box::between(line.a, line.b));
            reach_.emplace_back(distance(centre_, line.a, line.b),
                                std::max((line.a - centre_).length(), (line.b - centre_).length()));
        }
        std::size_t pieces = 0;
        for (const Outline& outline : outlines) {
            bands_.push_back(band_of(outline, centre_));
            pieces += outline.pieces.size();
        }
        division_.outlines.reserve(2 * pieces);
        division_.lines.reserve(lines.size());
    }

    Division divide()
    {
        for (std::size_t k = 0; k < outlines_.size(); ++k)
            divide_outline(k);
        divide_lines();
        division_.closes = closes();
        return std::move(division_);
    }

private:
    void divide_outline(std::size_t k)
    {
        const std::size_t first = division_.outlines.size();
        near_.clear();
        for (std::uint32_t i = 0; i < lines_.size(); ++i)
            if (bands_[k].may_meet(reach_[i].first, reach_[i].second))
                near_.push_back(i);
        const Piece* last = nullptr;
        int label = 0;
        bool same = true;
        for (const Piece& piece : outlines_[k].pieces) {
            find_cuts(k, piece);
            if (!cuts_.empty())
                label = cuts_.front().before;
            else if (!last || !(last->end == piece.start))
                label = label_at_(piece.start);
            last = &piece;
            label = add_stretches(k, piece, label);
            same = same && division_.outlines.back().label == division_.outlines[first].label &&
                   cuts_.empty();
        }
        division_.whole.emplace_back();
        if (same && division_.outlines.size() > first) {
            division_.whole.back() = division_.outlines[first].label;
            division_.outlines.resize(first);
        }
    }

    void find_cuts(std::size_t k, const Piece& piece)
    {
        cuts_.clear();
        if (near_.empty())
            return;
        const Box box = fuelring::box_of(piece);
        const Cutter cutter{piece};
        for (const std::uint32_t i : near_) {
            if (!boxes_[i].meets(box))
                continue;
            const DividingLine& line = lines_[i];
            const LineCuts found = cutter(line);
            for (int c = 0; c < found.count; ++c) {
                const LineCut& cut = found.cut[static_cast<std::size_t>(c)];
                cuts_.push_back({cut.t, cut.at, cut.leaves_left ? line.left : line.right,
                                 cut.leaves_left ? line.right : line.left});
                cuts_of_lines_.push_back({i, cut.s, cut.at, k, cut.leaves_left});
            }
        }
        std::sort(cuts_.begin(), cuts_.end(),
                  [](const PieceCut& a, const PieceCut& b) { return a.t < b.t; });
    }

    /// The label after the last stretch.
    int add_stretches(std::size_t k, const Piece& piece, int label)
    {
        double t = piece.t0;
        Point from = piece.start;
        for (const PieceCut& cut : cuts_) {
            division_.outlines.push_back({k, label, piece.part(t, from, cut.t, cut.at)});
            t = cut.t;
            from = cut.at;
            label = cut.after;
        }
        division_.outlines.push_back({k, label, piece.part(t, from, piece.t1, piece.end)});
        return label;
    }

    void divide_lines()
    {
        std::stable_sort(cuts_of_lines_.begin(), cuts_of_lines_.end(),
                         [](const CutOfLine& a, const CutOfLine& b) {
                             return a.line != b.line ? a.line < b.line : a.s < b.s;
                         });
        std::size_t next = 0;
        for (std::uint32_t i = 0; i < lines_.size(); ++i) {
            const std::size_t first = next;
            while (next < cuts_of_lines_.size() && cuts_of_lines_[next].line == i)
                ++next;
            divide_line(lines_[i], std::span{cuts_of_lines_}.subspan(first, next - first));
        }
    }

    // Crossing outline k changes the ring by one: from k + 1 to k inwards, back outwards.
    void divide_line(const DividingLine& line, std::span<const CutOfLine> cuts)
    {
        std::size_t ring = cuts.empty() ? ring_of(line.a) : 0;
        Point from = line.a;
        for (const CutOfLine& cut : cuts) {
            ring = cut.enters ? cut.outline + 1 : cut.outline;
            add_line(ring, line, from, cut.at);
            ring = cut.enters ? cut.outline : cut.outline + 1;
            from = cut.at;
        }
        add_line(ring, line, from, line.b);
    }

    void add_line(std::size_t ring, const DividingLine& line, Point from, Point to)
    {
        if (ring < outlines_.size())
            division_.lines.push_back({ring, line.left, line.right, from, to});
    }

    /// The innermost outline that encloses a corner; as many as there are where none does.
    std::size_t ring_of(Point p) const
    {
        const double far = (p - centre_).length();
        const auto inside = [&](std::size_t k) {
            if (bands_[k].may_meet(far, far))
                return encloses(outlines_[k], p);
            return far < bands_[k].nearest && bands_[k].inside;
        };
        std::size_t ring = outlines_.size();
        while (ring > 0 && inside(ring - 1))
            --ring;
        return ring;
    }

    // Points entered less points left, each as a hash of its bits and of the part of the ring. The
    // sum is 0 where all boundaries close, and hardly by chance where one does not.
    bool closes() const
    {
        std::uint64_t open = 0;
        const auto add = [&open](std::size_t ring, int label, Point from, Point to) {
            const std::uint64_t part =
                mixed((std::uint64_t{ring} << 32) + static_cast<unsigned>(label));
            open += mixed(hash_of(to) + part) - mixed(hash_of(from) + part);
        };
        for (const OutlineStretch& s : division_.outlines) {
            add(s.outline, s.label, s.piece.start, s.piece.end);
            if (s.outline + 1 < outlines_.size())
                add(s.outline + 1, s.label, s.piece.end, s.piece.start);
        }
        for (const LineStretch& s : division_.lines) {
            add(s.ring, s.left, s.from, s.to);
            add(s.ring, s.right, s.to, s.from);
        }
        return open == 0;
    }

    std::span<const Outline> outlines_;
    std::span<const DividingLine> lines_;
    const std::function<int(Point)>& label_at_;
    std::vector<Box> boxes_;
    Point centre_; ///< of the innermost outline
    std::vector<std::pair<double, double>>
        reach_;               ///< of lines: least and greatest distance from it
    std::vector<Band> bands_; ///< of outlines
    std::vector<std::uint32_t> near_;
    std::vector<PieceCut> cuts_;
    std::vector<CutOfLine> cuts_of_lines_;
    Division division_;
};

} // namespace

Division divided(std::span<const Outline> outlines, std::span<const DividingLine> lines,
                 const std::function<int(Point)>& label_at)
{
    return Divider{outlines, lines, label_at}.divide();
}

} // namespace fuelring
