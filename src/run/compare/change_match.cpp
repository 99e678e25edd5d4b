// SPDX-License-Identifier: Apache-2.0

// Pairs of footprints that might be the same structure come from an index of boxes; the ground that
// a pair shares is measured exactly, and the matching itself is done elsewhere, on numbers alone.
// Both outlines of a redrawn structure are compared: with one, BEFORE and AFTER would not be alike.
#include "io/vector/box_index.hpp"
#include "run/compare/change_parts.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

namespace fuelring {

namespace {

/// Outlines that share all but this part of either are the same outline.
constexpr double same_outline_frac = 1e-6;

std::vector<MatchCandidate> candidates(const PastTables& tables)
{
    std::vector<MatchCandidate> list;
    for (const Structure& s : tables.structures)
        list.push_back({s.id, s.footprint_m2});
    return list;
}

bool same_stretch(const RingStretch& a, const RingStretch& b)
{
    const auto near = [](double v, double w) { return std::abs(v - w) <= same_outline_frac; };
    return near(a.down, b.down) && near(a.across, b.across) && near(a.downhill.x, b.downhill.x) &&
           near(a.downhill.y, b.downhill.y);
}

/// Sorts largest changes of exposure to the front; what has none keeps its order behind them.
double sort_key(const StructureChange& change)
{
    return change.exposure.change ? -std::round(std::abs(*change.exposure.change) * 1e4)
                                  : std::numeric_limits<double>::infinity();
}

} // namespace

std::vector<StructureMatch> match_tables(const PastTables& before, const PastTables& after,
                                         const Grid& grid)
{
    std::vector<Box> boxes;
    for (const Structure& s : after.structures)
        boxes.push_back(box_on_grid(s, grid));
    const BoxIndex index{boxes};
    std::vector<SharedGround> shared;
    for (std::size_t b = 0; b < before.structures.size(); ++b)
        for (const std::size_t a : index.meeting(box_on_grid(before.structures[b], grid))) {
            const Structure& was = before.structures[b];
            const Structure& is = after.structures[a];
            const double m2 = shared_ground_m2(is, was, grid);
            const double larger = std::max(was.footprint_m2, is.footprint_m2);
            shared.push_back({b, a, m2, m2 >= (1 - same_outline_frac) * larger});
        }
    return match_structures(candidates(before), candidates(after), shared);
}

ChangeMembers members_of(const std::vector<StructureMatch>& matches, const PastTables& before,
                         const PastTables& after)
{
    ChangeMembers result;
    std::map<std::string, std::size_t> groups;
    const auto add = [&](const Structure& s, const std::string& neighbourhood, bool counted) {
        result.outlines.structures.push_back(s);
        result.members.push_back({neighbourhood, counted});
        result.group.push_back(groups.emplace(neighbourhood, groups.size()).first->second);
    };
    result.place.resize(matches.size());
    for (std::size_t k = 0; k < matches.size(); ++k)
        if (matches[k].in_both()) {
            result.place[k] = result.members.size();
            add(after.structures[*matches[k].after], after.figures[*matches[k].after].neighbourhood,
                true);
        }
    for (const StructureMatch& match : matches) {
        if (!match.in_both())
            continue;
        const Structure& was = before.structures[*match.before];
        if (match.kind != MatchKind::same ||
            !same_stretch(was.stretch, after.structures[*match.after].stretch))
            add(was, after.figures[*match.after].neighbourhood, false);
    }
    return result;
}

std::vector<StructureChange> structure_changes(const std::vector<StructureMatch>& matches,
                                               const ChangeMembers& members,
                                               const std::vector<OutlineChange>& changes,
                                               const PastTables& before, const PastTables& after,
                                               const CommonRings& rings)
{
    std::vector<StructureChange> list;
    for (std::size_t k = 0; k < matches.size(); ++k) {
        StructureChange change{matches[k], {}, Direction::unknown, {}};
        if (members.place[k]) {
            change.within = changes[*members.place[k]].within;
            const auto& was = before.figures[*matches[k].before].exposure;
            const auto& is = after.figures[*matches[k].after].exposure;
            if (rings.same) {
                change.direction = direction_of(was, is);
                if (was && is)
                    change.exposure.change = *is - *was;
                change.exposure.by_fuel = exposure_through_fuel(change.within, rings.plan);
            }
        }
        list.push_back(std::move(change));
    }
    std::stable_sort(list.begin(), list.end(),
                     [](const StructureChange& a, const StructureChange& b) {
                         return sort_key(a) < sort_key(b);
                     });
    return list;
}

} // namespace fuelring
