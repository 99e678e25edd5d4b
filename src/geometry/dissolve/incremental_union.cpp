// SPDX-License-Identifier: Apache-2.0

// The union, structure by structure. The region of i is D_i less the union of all D_j, j < i: such
// regions are disjoint, and by induction on i they sum up to the union. The boundary of a
// difference lies on the boundaries of its two sets, hence on the outlines.
//
// What i adds is bounded by those stretches of its own outline that no structure before it covers,
// and by those stretches of outlines before it, turned round, that lie within r of i and that no
// other before it covers. They are found as the outline of one concave footprint is (offset):
// pieces that one wall covers as a whole are left out at once, the others are cut where they cross,
// each stretch stays or goes as a whole, and its middle tells. Where outlines run over each other
// (walls in one line, shared walls, duplicates) both stay, and welding takes identical ones once
// and lets opposite ones cancel.
#include "geometry/dissolve/incremental_union.hpp"

#include "geometry/dissolve/neighbour_cover.hpp"
#include "geometry/dissolve/union_by_geos.hpp"
#include "geometry/offset/body.hpp"
#include "geometry/offset/outline_of_valid.hpp"
#include "geometry/offset/welding.hpp"
#include "geometry/tolerances.hpp"

#include <algorithm>
#include <cmath>

namespace fuelring {
namespace {

/// An object forgets the outlines of neighbours where it has more than this many.
constexpr std::size_t most_cached = 4096;

bool near(const Piece& piece, const ParallelBody& body)
{
    const Ball ball = ball_of(piece);
    return body.may_meet(ball.middle, ball.radius_m);
}

/// The stretches of the tracks between cuts that bound the region of the one with `body`, in its
/// frame. Tracks of owner 0 are its own. `untouched`: its own are kept as they came, and nothing
/// else.
std::vector<Piece> kept_stretches(const std::vector<Track>& tracks, const ParallelBody& body,
                                  NeighbourCover& others, bool& untouched)
{
    const std::vector<Cut> cuts = cuts_of_tracks(tracks);
    std::vector<Piece> kept;
    kept.reserve(tracks.size());
    untouched = cuts.empty();
    for_each_stretch(tracks, cuts, [&](std::uint32_t i, const Stretch& s) {
        const Track& track = tracks[i];
        const bool own = track.owner == 0;
        const Point middle =
            track.arc ? track.piece.at((s.t0 + s.t1) / 2) : 0.5 * (s.start + s.end);
        const bool stays =
            (own || body.side_of(middle) != Side::outside) && !others.inside_one(middle);
        untouched &= stays == own;
        if (!stays)
            return;
        const Piece stretch = track.piece.part(s.t0, s.start, s.t1, s.end);
        kept.push_back(own ? stretch : stretch.reversed());
    });
    return kept;
}

} // namespace

void EarlierNeighbours::of(std::size_t i, double r_m, bool stretched, bool same_group,
                           std::vector<std::uint32_t>& found)
{
    const auto key = static_cast<std::uint32_t>(i);
    auto listed = within_widest_.find(key);
    if (listed == within_widest_.end()) {
        if (within_widest_.size() > most_cached)
            within_widest_.clear();
        members_.near(i, widest_m_, true, near_);
        const auto end = std::lower_bound(near_.begin(), near_.end(), key); // those before i
        listed = within_widest_.emplace(key, std::vector<std::uint32_t>{near_.begin(), end}).first;
    }
    members_.near_among(listed->second, i, r_m, stretched, found);
    if (same_group)
        std::erase_if(found,
                      [&](std::uint32_t j) { return members_[j].group != members_[i].group; });
}

IncrementalUnion::IncrementalUnion(const StructureIndex& members, double r_m, bool stretched,
                                   std::shared_ptr<EarlierNeighbours> neighbours)
    : members_(members), r_m_(r_m), stretched_(stretched),
      neighbours_(neighbours ? std::move(neighbours)
                             : std::make_shared<EarlierNeighbours>(members, r_m))
{}

AddedRegion IncrementalUnion::among_all(std::size_t i)
{
    neighbours_->of(i, r_m_, stretched_, false, before_);
    return region(i, before_, of_all_);
}

std::optional<AddedRegion> IncrementalUnion::among_group(std::size_t i)
{
    // With the same neighbours before it the region is the same: nothing is computed twice.
    neighbours_->of(i, r_m_, stretched_, false, before_);
    before_in_group_.clear();
    for (const std::uint32_t j : before_)
        if (members_[j].group == members_[i].group)
            before_in_group_.push_back(j);
    if (before_in_group_.size() == before_.size())
        return {};
    return region(i, before_in_group_, of_group_);
}

Outline IncrementalUnion::outline(std::size_t i, double r_m) const
{
    const Footprint& footprint = *members_[i].footprint;
    if (r_m == 0)
        return outline_of(footprint);
    return outline_of_valid(footprint, r_m, stretched_ ? members_.stretch_of(i) : RingStretch{});
}

const IncrementalUnion::Own& IncrementalUnion::own(std::size_t i, Cache& cache)
{
    const auto key = static_cast<std::uint32_t>(i);
    if (const auto found = cache.find(key); found != cache.end())
        return found->second;
    Own own;
    neighbours_->of(i, r_m_, stretched_, &cache == &of_group_, earlier_);
    NeighbourCover others{members_, i, earlier_, r_m_, stretched_};
    for (const Piece& piece : outline(i, r_m_).pieces)
        own.complete &= others.append_uncovered(piece, ball_of(piece), 0, own.pieces);
    for (const Piece& piece : own.pieces)
        own.balls.push_back(ball_of(piece));
    return cache.emplace(key, std::move(own)).first->second;
}

AddedRegion IncrementalUnion::region(std::size_t i, const std::vector<std::uint32_t>& before,
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
            piece = members_.map(j, i)(piece);
    }
    AddedRegion found{AddedRegion::Kind::part, difference_by_geos(outline(i, r_m_), others),
                      OutlineMethod::capsules};
    if (found.outline.pieces.empty())
        found.kind = AddedRegion::Kind::nothing;
    return found;
}

/// The region, or nothing where its pieces do not close.
std::optional<AddedRegion> IncrementalUnion::try_region(std::size_t i, double r_m, const Own& mine,
                                                        const std::vector<std::uint32_t>& before,
                                                        Cache& cache)
{
    const ParallelBody body = members_.body(i, r_m, stretched_);
    NeighbourCover others{members_, i, before, r_m_, stretched_};
    tracks_.clear();
    for (const Piece& piece : mine.pieces)
        tracks_.emplace_back(piece, 0);
    for (std::size_t place = 0; place < before.size(); ++place) {
        const std::uint32_t j = before[place];
        const FrameMap map = members_.map(j, i);
        const double longer = map.most_stretch();
        const Own& theirs = own(j, cache); // those before j have been asked
        uncovered_.clear();
        for (std::size_t k = 0; k < theirs.pieces.size(); ++k)
            if (const Ball ball{map(theirs.balls[k].middle), theirs.balls[k].radius_m * longer};
                body.may_meet(ball.middle, ball.radius_m))
                others.append_uncovered(map(theirs.pieces[k]), ball, place + 1, uncovered_);
        for (const Piece& piece : uncovered_)
            if (near(piece, body))
                tracks_.emplace_back(piece, j + 1);
    }
    bool untouched = false;
    std::vector<Piece> kept = kept_stretches(tracks_, body, others, untouched);
    if (!weld(kept))
        return {};
    if (kept.empty())
        return AddedRegion{};
    const auto kind = untouched && mine.complete && r_m == r_m_ ? AddedRegion::Kind::whole
                                                                : AddedRegion::Kind::part;
    return AddedRegion{kind, {std::move(kept), OutlineMethod::exact}, OutlineMethod::exact};
}

} // namespace fuelring
