// SPDX-License-Identifier: Apache-2.0

// Change inside treated polygons. The regions that the account integrates anyway are cut along the
// borders of the polygons, as they are cut along those of parcels, and each part is integrated by
// itself: areas from what a structure adds to the union, so that nothing counts twice; points of
// exposure from everything around each structure, since every home gains from the same clearing.

#include "change/treated_ground.hpp"

#include <algorithm>
#include <limits>

namespace fuelring {

namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

/// Of ground that is not known to be split right nothing is known.
ChangeArea area_of(const TreatedSplit& split, const Outline& part, bool open)
{
    if (open)
        return {unknown, unknown, unknown, unknown, unknown, unknown, unknown, unknown, unknown};
    return split.overlay.integrate(part, split.grid);
}

std::vector<ChangeArea> by_owner(const TreatedSplit& split, const Outline& part, bool& open)
{
    if (!split.owners)
        return {};
    std::vector<ChangeArea> areas;
    if (open || part.pieces.empty()) {
        const ChangeArea of_each = area_of(split, {}, open);
        areas.assign(split.owners->kind_count(), of_each);
        return areas;
    }
    const RegionByKind cut = region_by_kind(part, split.on_grid, *split.owners);
    for (const Outline& of_owner : cut.of_kind)
        areas.push_back(area_of(split, of_owner, cut.open));
    open |= cut.open;
    return areas;
}

/// A region cut along one layer; nothing where no group of it is near.
std::optional<RegionByKind> cut_by(const TreatedLayer& layer, const Outline& region,
                                   const FrameOnGrid& on_grid)
{
    if (region.pieces.empty())
        return std::nullopt;
    const Box box = bounds(region);
    if (!layer.box.meets({on_grid.to_grid(box.min), on_grid.to_grid(box.max)}))
        return std::nullopt;
    return region_by_kind(region, on_grid, layer.places);
}

/// Areas of one group by distance, as they stand in the parts of one structure.
struct OwnAreas {
    std::vector<ChangeArea> within;
    bool any = false;
};

/// Conifers lost less gained in every ring, inside a group, times what a square metre counts.
double points_lost(const OwnAreas& inside, const std::vector<double>& points_per_m2)
{
    double points = 0;
    for (std::size_t k = 0; k < points_per_m2.size(); ++k)
        points -= points_per_m2[k] * (inside.within[k + 1].net_m2() - inside.within[k].net_m2());
    return points;
}

void take_in(const TreatedPart& part, TreatedSum& sum, std::size_t kinds)
{
    sum.within[part.distance] += part.added;
    for (std::size_t kind = 0; kind < part.added_by_kind.size(); ++kind)
        sum.within_by_kind[part.distance * kinds + kind] += part.added_by_kind[kind];
}

} // namespace

bool append_treated(const TreatedSplit& split, std::size_t k, const Outline& own,
                    const Outline* added, std::vector<TreatedPart>& parts)
{
    bool any_open = false;
    for (const TreatedLayer& layer : split.ground.layers) {
        const auto of_own = cut_by(layer, own, split.on_grid);
        if (!of_own)
            continue;
        const auto apart = added ? cut_by(layer, *added, split.on_grid) : std::nullopt;
        for (std::size_t c = 0; c < layer.group.size(); ++c) {
            const Outline& inside = of_own->of_kind[c];
            if (inside.pieces.empty() && !of_own->open)
                continue;
            TreatedPart part{layer.group[c], k, area_of(split, inside, of_own->open), {}, {}};
            const Outline none;
            const Outline& region = !added ? inside : apart ? apart->of_kind[c] : none;
            bool open = !added ? of_own->open : apart && apart->open;
            part.added = added ? area_of(split, region, open) : part.own;
            part.added_by_kind = by_owner(split, region, open);
            any_open |= open || of_own->open;
            parts.push_back(std::move(part));
        }
    }
    return any_open;
}

std::vector<TreatedSum> treated_sums(std::span<const ChangeMember> members,
                                     std::span<const OutlineChange> changes,
                                     const CommonRings& rings, std::size_t groups,
                                     std::size_t kinds)
{
    const std::size_t distances = rings.plan.outer_m.size() + 1;
    TreatedSum empty;
    empty.within.resize(distances);
    empty.within_by_kind.resize(distances * kinds);
    if (rings.same)
        empty.points_removed = 0;
    std::vector<TreatedSum> sums(groups, empty);
    std::vector<OwnAreas> own(groups);
    for (std::size_t i = 0; i < members.size(); ++i) {
        std::vector<std::size_t> touched;
        for (const TreatedPart& part : changes[i].treated) {
            take_in(part, sums[part.group], kinds);
            OwnAreas& mine = own[part.group];
            if (!mine.any) {
                mine = {std::vector<ChangeArea>(distances), true};
                touched.push_back(part.group);
            }
            mine.within[part.distance] = part.own;
        }
        const auto points =
            rings.same ? points_through_fuel(changes[i].within, rings.plan) : std::nullopt;
        for (const std::size_t g : touched) {
            if (members[i].counted) {
                ++sums[g].structures;
                if (points)
                    *sums[g].points_removed += points_lost(own[g], *points);
            }
            own[g].any = false;
        }
    }
    return sums;
}

std::vector<ChangeRow> treated_rows(const std::string& name, const TreatedSum& sum)
{
    std::vector<ChangeRow> rows;
    append_rows({ChangeScope::treatment, name, 0, false, sum.structures, {}, {}, {}, {}},
                sum.within, rows);
    return rows;
}

} // namespace fuelring
