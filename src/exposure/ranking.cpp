// SPDX-License-Identifier: Apache-2.0

// Ranks compare figures as they are printed, to 4 decimals: two rows that read alike must not rank
// apart by bits that nobody sees. Ids break ties of order, never of rank.
#include "exposure/ranking.hpp"

#include <algorithm>
#include <array>
#include <numeric>

namespace fuelring {

namespace {

constexpr std::array<std::string_view, flag_count> flag_names{
    "unmapped",           "partly_unmapped",   "no_conifer_in_reach", "coarse_cells",
    "repaired_outline",   "duplicate_outline", "canopy_on_roof",      "no_slope",
    "neighbours_conifer", "field_checked",     "outside_draws"};

std::uint32_t flags_of(const Community& community, std::size_t structure, const StructureResult& r,
                       const Grid& grid, const RingPlan& plan)
{
    const Structure& s = community.structures[structure];
    std::uint32_t flags = 0;
    const auto set = [&flags](Flag flag, bool on) {
        flags |= on ? 1U << static_cast<unsigned>(flag) : 0U;
    };
    const bool some_unmapped = std::any_of(r.measure->rings.begin(), r.measure->rings.end(),
                                           [](const RingArea& a) { return a.unmapped_m2 > 0; });
    set(Flag::unmapped, !r.exposure);
    set(Flag::partly_unmapped, r.exposure && some_unmapped);
    set(Flag::no_conifer_in_reach, r.exposure && !r.measure->nearest_conifer_m);
    const Grid ground = grid.at_scale(s.map_scale);
    set(Flag::coarse_cells,
        std::max(ground.cell_width_m(), ground.cell_height_m()) > plan.outer_m.front());
    set(Flag::repaired_outline, s.repaired_outline);
    set(Flag::duplicate_outline, s.duplicate_outline);
    set(Flag::canopy_on_roof, r.measure->roof.conifer_m2 > 0);
    set(Flag::no_slope, !community.terrain.empty() && !community.terrain[structure].slope);
    return flags;
}

/// Structures with exposure, highest figure first; ties in the order of ids.
std::vector<std::size_t> by_figure(const std::vector<StructureResult>& results, RankBy by)
{
    std::vector<std::size_t> order;
    for (std::size_t i = 0; i < results.size(); ++i)
        if (results[i].exposure)
            order.push_back(i);
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        return rank_key(*ranked_figure(results[a], by)) > rank_key(*ranked_figure(results[b], by));
    });
    return order;
}

/// Standard competition ranks along `order`: `place` gives each its own counter.
template <typename Place, typename Store>
// 1, 2, 2, 4: whoever ties with the one before gets its rank, the next one counts all before it.
void give_ranks(const std::vector<std::size_t>& order, const std::vector<StructureResult>& results,
                RankBy by, std::size_t counters, Place place, Store store)
{
    struct Counter {
        std::int64_t seen = 0;
        std::int64_t rank = 0;
        double last = 0;
    };
    std::vector<Counter> counter(counters);
    for (const std::size_t i : order) {
        Counter& c = counter[place(i)];
        const double value = rank_key(*ranked_figure(results[i], by));
        if (++c.seen == 1 || value != c.last)
            c.rank = c.seen;
        c.last = value;
        store(i, c.rank);
    }
}

} // namespace

std::string_view name_of(Flag flag)
{
    return flag_names[static_cast<std::size_t>(flag)];
}

std::string flags_text(const StructureResult& result)
{
    std::string text;
    for (int k = 0; k < flag_count; ++k)
        if (const Flag flag{static_cast<std::uint8_t>(k)}; result.has(flag))
            text.append(text.empty() ? "" : ";").append(name_of(flag));
    return text;
}

ConifersNear conifers_near(const StructureResult& result, const RingPlan& plan, std::size_t ring)
{
    if (!result.is_measured())
        return ConifersNear::unknown;
    const std::optional<double>& nearest_m = result.measure->nearest_conifer_m;
    if (nearest_m && *nearest_m <= plan.outer_m[ring])
        return ConifersNear::some;
    const RingArea ground = within_distance(*result.measure, ring);
    return ground.mapped_m2 >= least_known_share * ground.ring_m2 ? ConifersNear::none
                                                                  : ConifersNear::unknown;
}

const std::optional<double>& ranked_figure(const StructureResult& result, RankBy by)
{
    return by == RankBy::exposure ? result.exposure : result.exposure_x_susceptibility;
}

void rank_structures(const Community& community, const Grid& grid, const RingPlan& plan, RankBy by,
                     std::vector<StructureResult>& results)
{
    for (std::size_t i = 0; i < results.size(); ++i) {
        results[i].exposure = exposure(*results[i].measure, plan);
        if (!community.susceptibility.empty() && results[i].exposure)
            results[i].exposure_x_susceptibility =
                *results[i].exposure * community.susceptibility[i];
        results[i].flags = flags_of(community, i, results[i], grid, plan);
    }
    const std::vector<std::size_t> order = by_figure(results, by);
    give_ranks(
        order, results, by, 1, [](std::size_t) { return std::size_t{0}; },
        [&](std::size_t i, std::int64_t rank) { results[i].rank = rank; });
    const std::size_t outside = community.neighbourhoods.size(); // ranked among themselves
    give_ranks(
        order, results, by, outside + 1,
        [&](std::size_t i) { return community.structures[i].neighbourhood.value_or(outside); },
        [&](std::size_t i, std::int64_t rank) { results[i].rank_in_neighbourhood = rank; });
}

void flag_neighbours(const Ownership& owners, std::size_t near_ring,
                     std::vector<StructureResult>& results)
{
    const std::size_t shares = owners.shares().size();
    for (StructureResult& r : results) {
        if (!r.measure->owners || !r.measure->owners->own)
            continue;
        double own = 0;
        double others = 0;
        // The roof, then rings 0 to near_ring; in each the structure's own share is the first.
        for (std::size_t k = 0; k < (near_ring + 2) * shares; ++k)
            (k % shares == 0 ? own : others) += r.measure->owners->conifer_m2[k];
        if (own < clear_m2 && others >= clear_m2)
            r.flags |= 1U << static_cast<unsigned>(Flag::neighbours_conifer);
    }
}

std::vector<AddressRow> address_rows(const Community& community,
                                     const std::vector<StructureResult>& results)
{
    std::vector<AddressRow> rows;
    std::vector<bool> has_address(community.structures.size());
    for (std::size_t a = 0; a < community.addresses.size(); ++a)
        if (const auto& s = community.addresses[a].structure) {
            rows.push_back({*s, a});
            has_address[*s] = true;
        }
    for (std::size_t s = 0; s < community.structures.size(); ++s)
        if (!has_address[s])
            rows.push_back({s, std::nullopt});
    const std::int64_t last = static_cast<std::int64_t>(results.size()) + 1;
    std::sort(rows.begin(), rows.end(), [&](const AddressRow& a, const AddressRow& b) {
        const std::int64_t rank_a = results[a.structure].rank.value_or(last);
        const std::int64_t rank_b = results[b.structure].rank.value_or(last);
        if (rank_a != rank_b)
            return rank_a < rank_b;
        if (a.structure != b.structure) // structures stand in bytewise order of id
            return a.structure < b.structure;
        const std::string empty;
        const std::string& text_a = a.address ? community.addresses[*a.address].text : empty;
        const std::string& text_b = b.address ? community.addresses[*b.address].text : empty;
        return text_a != text_b ? text_a < text_b : a.address < b.address;
    });
    return rows;
}

} // namespace fuelring
