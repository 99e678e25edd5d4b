// SPDX-License-Identifier: Apache-2.0

// Shares are compared over the structures that both runs have, wherever the tables of the last run
// tell: houses that were built since are in no neighbourhood and have no address yet, and that is
// no fault of those layers.
#include "run/gate/gate_figures.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <set>

namespace fuelring {

namespace {

constexpr std::size_t sampled_footprints = 1000;

double percent_of(double part, double whole)
{
    return 100 * part / whole;
}

double percent_of(std::size_t part, std::size_t whole)
{
    return percent_of(static_cast<double>(part), static_cast<double>(whole));
}

std::optional<ParcelPart> parcel_of(const Structure& s, const Inputs& inputs)
{
    return most_of_footprint(s.footprint, {s.frame, s.map_scale, inputs.raster->grid()},
                             inputs.community.owners->map);
}

void add_addresses(const std::vector<Address>& addresses, SeenFigures& figures)
{
    if (addresses.empty())
        return;
    const auto joined = std::count_if(addresses.begin(), addresses.end(),
                                      [](const Address& a) { return a.structure.has_value(); });
    figures["addresses_joined_percent"] =
        percent_of(static_cast<std::size_t>(joined), addresses.size());
}

void add_parcels(const Inputs& inputs, SeenFigures& figures)
{
    const std::vector<Structure>& structures = inputs.community.structures;
    const std::size_t wanted = std::min(structures.size(), sampled_footprints);
    double footprint_m2 = 0, own_m2 = 0;
    for (std::size_t k = 0; k < wanted; ++k) {
        const Structure& s = structures[k * structures.size() / wanted];
        if (const auto part = parcel_of(s, inputs)) {
            own_m2 += part->m2;
            footprint_m2 += area_m2(s.footprint);
        }
    }
    if (footprint_m2 > 0)
        figures["footprint_on_own_parcel_percent"] = percent_of(own_m2, footprint_m2);
}

/// From the lowest twentieth of the structures to the highest, so that one that is far from the
/// others does not count.
void add_heights(const Community& community, SeenFigures& figures)
{
    std::vector<double> heights_m;
    std::size_t sloping = 0;
    for (const Terrain& terrain : community.terrain)
        if (terrain.slope) {
            heights_m.push_back(terrain.slope->height_m);
            sloping += terrain.slope->is_flat() ? 0 : 1;
        }
    figures["structures_with_slope_percent"] = percent_of(sloping, community.terrain.size());
    if (heights_m.empty())
        return;
    std::sort(heights_m.begin(), heights_m.end());
    const std::size_t last = heights_m.size() - 1;
    figures["height_range_m"] = heights_m[last - last / 20] - heights_m[last / 20];
}

/// A structure of the sample that is still there.
struct Kept {
    const SampledStructure* before;
    std::size_t now;
};

std::vector<Kept> kept_of(const EarlierSample& earlier, const Community& community)
{
    std::vector<Kept> kept;
    for (const SampledStructure& s : earlier.structures)
        if (const auto now = index_of_structure(community, s.id))
            kept.push_back({&s, *now});
    return kept;
}

void compare_addresses(const EarlierSample& earlier, const std::vector<Address>& addresses,
                       const Community& community, MovedFigures& moved)
{
    std::map<std::size_t, std::set<std::string>> now; // of structures in the sample
    for (const SampledAddress& a : earlier.addresses)
        if (const auto s = index_of_structure(community, a.structure_id))
            // An entry without addresses: a structure that lost all of its own is to count.
            now[*s];
    for (const Address& a : addresses)
        if (a.structure)
            if (const auto at = now.find(*a.structure); at != now.end())
                at->second.insert(a.text);
    std::set<std::size_t> had, have;
    std::size_t known = 0, elsewhere = 0;
    for (const SampledAddress& a : earlier.addresses) {
        const auto s = index_of_structure(community, a.structure_id);
        if (!s || now.at(*s).empty() || a.text.empty())
            continue;
        ++known;
        elsewhere += now.at(*s).count(a.text) > 0 ? 0 : 1;
    }
    for (const SampledAddress& a : earlier.addresses)
        if (const auto s = index_of_structure(community, a.structure_id)) {
            if (!a.text.empty())
                had.insert(*s);
            if (!now.at(*s).empty())
                have.insert(*s);
        }
    if (had.empty())
        return;
    moved["structures_with_address_percent"] = {percent_of(had.size(), now.size()),
                                                percent_of(have.size(), now.size()), now.size()};
    if (known > 0)
        moved["addresses_elsewhere_percent"] = {0, percent_of(elsewhere, known), known};
}

void compare_neighbourhoods(const std::vector<Kept>& kept, const Community& community,
                            MovedFigures& moved)
{
    const auto name_now = [&](const Kept& k) -> std::string {
        const auto& in = community.structures[k.now].neighbourhood;
        return in ? community.neighbourhoods[*in] : std::string{};
    };
    std::set<std::string> names_before, names_now;
    std::size_t in_before = 0, in_now = 0;
    for (const Kept& k : kept) {
        in_before += k.before->neighbourhood.empty() ? 0 : 1;
        in_now += name_now(k).empty() ? 0 : 1;
        names_before.insert(k.before->neighbourhood);
        names_now.insert(name_now(k));
    }
    if (in_before == 0)
        return;
    moved["structures_in_neighbourhood_percent"] = {percent_of(in_before, kept.size()),
                                                    percent_of(in_now, kept.size()), kept.size()};
    if (in_now == 0)
        return;
    std::size_t other = 0, renamed = 0;
    for (const Kept& k : kept) {
        const std::string now = name_now(k);
        const std::string& before = k.before->neighbourhood;
        if (now.empty() || before.empty() || now == before)
            continue;
        if (names_before.count(now) == 0)
            ++renamed; // or split off
        else if (names_now.count(before) > 0)
            ++other; // else both became one
    }
    moved["other_neighbourhood_percent"] = {0, percent_of(other, in_now), in_now};
    moved["new_neighbourhood_percent"] = {0, percent_of(renamed, in_now), in_now};
}

void compare_owners(const std::vector<Kept>& kept, const Inputs& inputs, MovedFigures& moved)
{
    const Ownership& owners = *inputs.community.owners;
    std::size_t on_before = 0, on_now = 0, both = 0, other = 0;
    for (const Kept& k : kept) {
        const auto part = parcel_of(inputs.community.structures[k.now], inputs);
        on_before += k.before->owner.empty() ? 0 : 1;
        on_now += part ? 1 : 0;
        if (!part || k.before->owner.empty())
            continue;
        ++both;
        const auto owner = owners.class_of[static_cast<std::size_t>(part->parcel)];
        other += owners.classes[static_cast<std::size_t>(owner)] == k.before->owner ? 0 : 1;
    }
    if (on_before == 0)
        return;
    moved["structures_on_parcel_percent"] = {percent_of(on_before, kept.size()),
                                             percent_of(on_now, kept.size()), kept.size()};
    if (both > 0)
        moved["owner_changed_percent"] = {0, percent_of(other, both), both};
}

} // namespace

SeenFigures figures_of(const Inputs& inputs, const InputSettings& sources)
{
    const Community& community = inputs.community;
    SeenFigures figures;
    if (sources.addresses) {
        figures["addresses"] = static_cast<double>(community.addresses.size());
        add_addresses(community.addresses, figures);
    }
    if (sources.neighbourhoods)
        figures["neighbourhoods"] = static_cast<double>(community.neighbourhoods.size());
    if (community.owners)
        add_parcels(inputs, figures);
    if (const auto& checks = inputs.field_checks)
        figures["corrections"] = static_cast<double>(std::accumulate(
            checks->rows_of_kind.begin(), checks->rows_of_kind.end(), std::int64_t{0}));
    if (!community.terrain.empty())
        add_heights(community, figures);
    return figures;
}

MovedFigures in_both(const SeenFigures& before, const SeenFigures& now, const Community& community)
{
    MovedFigures moved;
    for (const auto& [name, figure] : now)
        if (const auto at = before.find(name); at != before.end())
            moved[name] = {at->second, figure};
    const auto count = [&](const char* name, std::size_t of) {
        if (const auto at = moved.find(name); at != moved.end())
            at->second.of = of;
    };
    count("addresses_joined_percent", community.addresses.size());
    count("structures_with_slope_percent", community.structures.size());
    return moved;
}

MovedFigures by_structure(const EarlierSample& earlier, const Inputs& inputs,
                          const InputSettings& sources)
{
    const std::vector<Kept> kept = kept_of(earlier, inputs.community);
    MovedFigures moved;
    if (kept.empty())
        return moved;
    if (sources.addresses)
        compare_addresses(earlier, inputs.community.addresses, inputs.community, moved);
    if (sources.neighbourhoods)
        compare_neighbourhoods(kept, inputs.community, moved);
    if (inputs.community.owners)
        compare_owners(kept, inputs, moved);
    return moved;
}

} // namespace fuelring
