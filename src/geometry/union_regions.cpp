// SPDX-License-Identifier: Apache-2.0

// The union, structure by structure. What i adds is bounded by those stretches of its own outline
// that no structure before it covers, and by those stretches of outlines before it, turned round,
// that lie within r of i and that no other before it covers. They are found as the outline of one
// concave footprint is (outline.cpp): pieces that one wall covers as a whole are left out at once,
// the others are cut where they cross, each stretch stays or goes as a whole, and its middle
// tells. Where outlines run over each other (walls in one line, shared walls, duplicates) both
// stay, and welding takes identical ones once and lets opposite ones cancel.
#include "geometry/union_regions.hpp"

#include "geometry/body.hpp"
#include "geometry/union_by_geos.hpp"
#include "geometry/welding.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace fuelring {
namespace {

constexpr double nudge = 1 + 1e-9;
/// Arcs longer than this are halved where a structure near by may cover a part of them.
constexpr double short_arc = 0.3;
/// Arcs longer than this are halved before anything is asked: their tangents meet far away.
constexpr double long_arc = 1.6;
/// An object forgets the outlines of neighbours where it has more than this many.
constexpr std::size_t most_cached = 4096;

/// A structure that stands before the one whose region is sought, seen from the frame of that one.
struct Before {
    Reach reach;
    FrameMap map;
    double stretch; ///< of lengths, at most
};

/// The part [t0, t1] of an arc.
Piece part_of(const Piece& arc, double t0, double t1)
{
    Piece part = arc;
    const auto at = [&](double t) {
        return arc.centre + std::cos(t) * arc.u + std::sin(t) * arc.v;
    };
    if (t0 != arc.t0)
        part.start = at(t0);
    if (t1 != arc.t1)
        part.end = at(t1);
    part.t0 = t0;
    part.t1 = t1;
    return part;
}

/// The same curve, run through the other way.
Piece turned_round(const Piece& piece)
{
    Piece turned = piece;
    std::swap(turned.start, turned.end);
    turned.v = -1 * piece.v;
    turned.t0 = -piece.t1;
    turned.t1 = -piece.t0;
    return turned;
}

/// The ball about the middle of a piece that holds all of it.
Ball ball_of(const Piece& piece)
{
    if (!piece.arc) {
        const Point chord = piece.end - piece.start;
        return {0.5 * (piece.start + piece.end), std::sqrt(dot(chord, chord)) / 2};
    }
    const double half = (piece.t1 - piece.t0) / 2;
    const double t = piece.t0 + half;
    return {piece.centre + std::cos(t) * piece.u + std::sin(t) * piece.v,
            half * std::sqrt(std::max(dot(piece.u, piece.u), dot(piece.v, piece.v)))};
}

bool near(const Piece& piece, const Reach& reach)
{
    const Ball ball = ball_of(piece);
    return reach.may_meet(ball.middle, ball.radius_m);
}

/// Points whose convex hull holds a piece: its ends and, of an arc, where the tangents there meet.
std::array<Point, 3> hull_of(const Piece& piece, Point middle)
{
    if (!piece.arc)
        return {piece.start, piece.end, middle};
    const double half = std::min(piece.t1 - piece.t0, long_arc) / 2;
    return {piece.start, piece.end, piece.centre + (1 / std::cos(half)) * (middle - piece.centre)};
}

/// The structures before one, asked about points and pieces in its frame. Remembers who covered
/// the last thing, since it often covers the next one too; that changes no answer.
class Others {
public:
    Others(const UnionMembers& members, std::size_t i, std::span<const std::uint32_t> before,
           double r_m, bool stretched)
    {
        others_.reserve(before.size());
        for (const std::uint32_t j : before) {
            const FrameMap map = members.map(i, j);
            others_.push_back({members.reach(j, r_m, stretched), map, std::max(map.k.x, map.k.y)});
        }
    }

    bool inside_one(Point p)
    {
        first_ = 0;
        return any([&](const Before& b) { return b.reach.side_of(b.map(p)) == Side::inside; });
    }

    /// Appends the parts of a piece that no single structure is seen to cover, of those from the
    /// `first` on. True for all of it.
    bool append_uncovered(const Piece& piece, const Ball& ball, std::size_t first,
                          std::vector<Piece>& to)
    {
        first_ = first;
        whole_ = &piece;
        open_ = false;
        complete_ = true;
        halve(piece, ball, to);
        return complete_;
    }

private:
    template <typename Test>
    bool any(Test&& test)
    {
        if (last_ >= first_ && last_ < others_.size() && test(others_[last_]))
            return true;
        for (std::size_t k = first_; k < others_.size(); ++k)
            if (k != last_ && test(others_[k])) {
                last_ = k;
                return true;
            }
        return false;
    }

    void halve(const Piece& part, const Ball& ball, std::vector<Piece>& to)
    {
        const double turn = part.arc ? part.t1 - part.t0 : 0;
        const std::array<Point, 3> hull = hull_of(part, ball.middle);
        bool is_near = false;
        const bool covered = any([&](const Before& b) {
            const Point middle = b.map(ball.middle);
            if (!b.reach.may_meet(middle, ball.radius_m * b.stretch))
                return false;
            is_near = true;
            const std::array seen{b.map(hull[0]), b.map(hull[1]), b.map(hull[2])};
            return turn <= long_arc && b.reach.covers(middle, seen);
        });
        if (covered) {
            open_ = complete_ = false;
        } else if (is_near && turn > short_arc) {
            const double half_way = (part.t0 + part.t1) / 2;
            for (const Piece& half :
                 {part_of(part, part.t0, half_way), part_of(part, half_way, part.t1)})
                halve(half, ball_of(half), to);
        } else if (open_) { // goes on where the last one ended
            to.back() = part_of(*whole_, to.back().t0, part.t1);
        } else {
            to.push_back(part.arc ? part_of(*whole_, part.t0, part.t1) : part);
            open_ = true;
        }
    }

    std::vector<Before> others_;
    std::size_t first_ = 0; ///< those before it are not asked
    std::size_t last_ = 0;
    const Piece* whole_ = nullptr;
    bool open_ = false;
    bool complete_ = true;
};

/// The stretches of the tracks between cuts that bound the region of the one with `reach`, in its
/// frame. Tracks of owner 0 are its own. `untouched`: its own are kept as they came, and nothing
/// else.
std::vector<Piece> kept_stretches(const std::vector<Track>& tracks, const Reach& reach,
                                  Others& others, bool& untouched)
{
    const std::vector<TrackCut> cuts = cuts_of_tracks(tracks);
    std::vector<Piece> kept;
    kept.reserve(tracks.size());
    auto cut = cuts.begin(); // cuts come in the order of the tracks
    untouched = cuts.empty();
    for (std::uint32_t i = 0; i < tracks.size(); ++i) {
        const Track& track = tracks[i];
        double t0 = track.t0;
        Point start = track.piece.start;
        for (bool last = false; !last;) {
            last = cut == cuts.end() || cut->track != i;
            const double t1 = last ? track.t1 : cut->t;
            const Point end = last ? track.piece.end : cut->point;
            if (!last)
                ++cut;
            if (!same_place(start, end) || (track.piece.arc && t1 - t0 > quarter_turn)) {
                const Point middle =
                    track.piece.arc ? track.at((t0 + t1) / 2) : 0.5 * (start + end);
                const bool stays = !(track.owner != 0 && reach.side_of(middle) == Side::outside) &&
                                   !others.inside_one(middle);
                if (stays) {
                    Piece stretch = track.piece;
                    stretch.start = start;
                    stretch.end = end;
                    if (stretch.arc) {
                        stretch.t0 = t0;
                        stretch.t1 = t1;
                    }
                    kept.push_back(track.owner == 0 ? stretch : turned_round(stretch));
                }
                untouched &= stays == (track.owner == 0);
            }
            t0 = t1;
            start = end;
        }
    }
    return kept;
}

} // namespace

AddedRegions::AddedRegions(const UnionMembers& members, double r_m, bool stretched)
    : members_(members), r_m_(r_m), stretched_(stretched), near_to_(members.size())
{}

AddedRegion AddedRegions::among_all(std::size_t i)
{
    return region(i, before(i, false), of_all_);
}

std::optional<AddedRegion> AddedRegions::among_group(std::size_t i)
{
    std::vector<std::uint32_t> mine = before(i, true);
    if (mine.size() == before(i, false).size())
        return {};
    return region(i, mine, of_group_);
}

/// Those before i that may have ground in common with it.
std::vector<std::uint32_t> AddedRegions::before(std::size_t i, bool same_group)
{
    if (near_to_ != i)
        members_.near(i, r_m_, stretched_, near_);
    near_to_ = i;
    std::vector<std::uint32_t> found;
    for (const std::uint32_t j : near_)
        if (j < i && (!same_group || members_[j].group == members_[i].group))
            found.push_back(j);
    return found;
}

Outline AddedRegions::outline(std::size_t i, double r_m) const
{
    const UnionMember& m = members_[i];
    if (r_m == 0)
        return outline_of(*m.footprint);
    return outline_within(*m.footprint, r_m, stretched_ ? m.stretch : RingStretch{});
}

const AddedRegions::Own& AddedRegions::own(std::size_t i, Cache& cache)
{
    const auto key = static_cast<std::uint32_t>(i);
    if (const auto found = cache.find(key); found != cache.end())
        return found->second;
    Own own;
    const std::vector<std::uint32_t> earlier = before(i, &cache == &of_group_);
    Others others{members_, i, earlier, r_m_, stretched_};
    for (const Piece& piece : outline(i, r_m_).pieces)
        own.complete &= others.append_uncovered(piece, ball_of(piece), 0, own.pieces);
    for (const Piece& piece : own.pieces)
        own.balls.push_back(ball_of(piece));
    return cache.emplace(key, std::move(own)).first->second;
}

AddedRegion AddedRegions::region(std::size_t i, const std::vector<std::uint32_t>& before,
                                 Cache& cache)
{
    if (before.empty())
        return {AddedRegion::Kind::whole, outline(i, r_m_), OutlineMethod::exact};
    if (cache.size() > most_cached)
        cache.clear();
    if (auto found = try_region(i, r_m_, own(i, cache), before, cache))
        return std::move(*found);
    if (r_m_ > 0)
        if (auto found = try_region(i, r_m_ * nudge, {outline(i, r_m_ * nudge).pieces, {}, true},
                                    before, cache)) {
            found->method = OutlineMethod::nudged;
            return std::move(*found);
        }
    std::vector<Outline> others;
    for (const std::uint32_t j : before) {
        others.push_back(outline(j, r_m_));
        for (Piece& piece : others.back().pieces)
            piece = mapped(piece, members_.map(j, i));
    }
    AddedRegion found{AddedRegion::Kind::part, difference_by_geos(outline(i, r_m_), others),
                      OutlineMethod::capsules};
    if (found.outline.pieces.empty())
        found.kind = AddedRegion::Kind::nothing;
    return found;
}

/// The region, or nothing where its pieces do not close.
std::optional<AddedRegion> AddedRegions::try_region(std::size_t i, double r_m, const Own& mine,
                                                    const std::vector<std::uint32_t>& before,
                                                    Cache& cache)
{
    const Reach reach = members_.reach(i, r_m, stretched_);
    Others others{members_, i, before, r_m_, stretched_};
    std::vector<Track> tracks;
    for (const Piece& piece : mine.pieces)
        tracks.emplace_back(piece, 0);
    std::vector<Piece> uncovered;
    for (std::size_t place = 0; place < before.size(); ++place) {
        const std::uint32_t j = before[place];
        const FrameMap map = members_.map(j, i);
        const double longer = std::max(map.k.x, map.k.y);
        const Own& theirs = own(j, cache); // those before j have been asked
        uncovered.clear();
        for (std::size_t k = 0; k < theirs.pieces.size(); ++k)
            if (const Ball ball{map(theirs.balls[k].middle), theirs.balls[k].radius_m * longer};
                reach.may_meet(ball.middle, ball.radius_m))
                others.append_uncovered(mapped(theirs.pieces[k], map), ball, place + 1, uncovered);
        for (const Piece& piece : uncovered)
            if (near(piece, reach))
                tracks.emplace_back(piece, j + 1);
    }
    bool untouched = false;
    std::vector<Piece> kept = kept_stretches(tracks, reach, others, untouched);
    if (!weld(kept))
        return {};
    if (kept.empty())
        return AddedRegion{};
    const auto kind = untouched && mine.complete && r_m == r_m_ ? AddedRegion::Kind::whole
                                                                : AddedRegion::Kind::part;
    return AddedRegion{kind, {std::move(kept), OutlineMethod::exact}, OutlineMethod::exact};
}

} // namespace fuelring
