// SPDX-License-Identifier: Apache-2.0

// Every column of the addresses' table, each once: its name, title, unit, value and what the manual
// says of it. A group is repeated for each ring, distance or owner of a run, or left out whole
// where the run lacks its input.
#include "io/tables/address_table.hpp"

#include "base/program/run_names.hpp"
#include "exposure/areas.hpp"
#include "io/tables/csv_table.hpp"

#include <algorithm>

namespace fuelring {

namespace {

using Figure = std::optional<double>;
namespace named = columns_of_run;
using RingPlace = std::size_t; ///< of a ring, or of a ring and an owner

/// Conifer area of a region, or nothing where too little of it is mapped to say.
Figure conifer_m2(const RingArea& area)
{
    return area.counts_as_mapped() ? Figure{area.conifer_m2} : Figure{};
}

Figure conifer_frac_within(const Home& home, RingPlace ring)
{
    RingArea within;
    for (RingPlace k = 0; k <= ring; ++k)
        within = within + home.ring(k);
    return within.conifer_frac();
}

/// Conifer area of a ring by owner; the list of owners begins with the roof, which has no columns.
Figure owner_m2(const Home& home, RingPlace k)
{
    const std::vector<double>& all = home.measure().owners->conifer_m2;
    // The list holds all owners of the roof, then all of each ring.
    const std::size_t owners = all.size() / (home.measure().rings.size() + 1);
    return home.ring(k / owners).counts_as_mapped() ? Figure{all[owners + k]} : Figure{};
}

std::string address_of(const Home& home)
{
    return home.row.address ? home.tables.community.addresses[*home.row.address].text
                            : std::string{};
}

std::string neighbourhood_of(const Home& home)
{
    const auto& in = home.structure().neighbourhood;
    return in ? home.tables.community.neighbourhoods[*in] : std::string{};
}

/// Category of the owner of the structure's own parcel.
std::string owner_of(const Home& home)
{
    const auto& split = home.measure().owners;
    if (!split || !split->own)
        return {};
    const Ownership& owners = home.tables.community.owners.value();
    const auto parcel = static_cast<std::size_t>(*split->own);
    return owners.classes[static_cast<std::size_t>(owners.class_of[parcel])];
}

Figure slope_pct(const Home& home)
{
    const auto& slope = home.terrain().slope;
    return slope ? Figure{100 * slope->fall} : Figure{};
}

Figure slope_residual_m(const Home& home)
{
    const auto& slope = home.terrain().slope;
    return slope ? Figure{slope->residual_m} : Figure{};
}

std::vector<Column<Home>> names_and_place()
{
    using namespace unit;
    using H = const Home&;
    return {{named::rank, "Rank", none, [](H h) { return h.result().rank; },
             "1 is the highest exposure (or `output.rank_by`). Equal exposures (4 decimals) share "
             "a rank and the next is skipped. Ranks count structures, so all addresses of a "
             "structure have its rank; empty without exposure"},
            {"rank_in_neighbourhood", "Rank in neighbourhood", none,
             [](H h) { return h.result().rank_in_neighbourhood; }},
            {named::address, "Address", none, address_of, "as in the layer of addresses"},
            {named::structure_id, "Structure", none, [](H h) { return h.structure().id; },
             "as in the layer of footprints"},
            {named::neighbourhood, "Neighbourhood", none, neighbourhood_of,
             "its name ([which](#which-neighbourhood))"},
            {"x", "East", m, [](H h) { return h.structure().inside.x; },
             "a point on the footprint, in the analysis CRS"},
            {"y", "North", m, [](H h) { return h.structure().inside.y; }},
            {"lon", "Longitude", lon_lat, [](H h) { return h.structure().lon_deg; },
             "the same point in WGS 84"},
            {"lat", "Latitude", lon_lat, [](H h) { return h.structure().lat_deg; }},
            {"footprint_m2", "Footprint", m2, [](H h) { return h.structure().footprint_m2; },
             "area of the footprint"},
            {"roof_canopy_m2", "Roof canopy", m2, [](H h) { return conifer_m2(h.measure().roof); },
             "conifers over the footprint (not scored)"},
            {named::nearest_conifer_m, "Nearest conifer", m,
             [](H h) { return h.measure().nearest_conifer_m; },
             "from the wall to the nearest cell with conifers; 0 where one touches or overhangs; "
             "empty when there is none within the widest ring"},
            {named::exposure, "Exposure", of_100, [](H h) { return h.result().exposure; },
             "weighted conifer percentage ([formula](numbers.md#rings-fractions-exposure))"}};
}

std::vector<Column<Home>> of_each_ring()
{
    const std::string any = "{}";
    using namespace unit;
    using H = const Home&;
    return {{named::ring_m2 + any, "Ring {}", m2,
             [](H h, RingPlace k) { return h.ring(k).ring_m2; },
             "area of ring L (`0_1.5m`, `1.5_10m`, `10_30m`, `30_100m`)"},
            {named::conifer_m2 + any, "Conifer {}", m2,
             [](H h, RingPlace k) { return conifer_m2(h.ring(k)); }, "conifers in the ring"},
            {"conifer_frac_{}", "Conifer {}", share,
             [](H h, RingPlace k) { return h.ring(k).conifer_frac(); },
             "conifers / mapped area of the ring; empty where less than a thousandth is mapped"},
            {"other_burnable_frac_{}", "Other burnable {}", share,
             [](H h, RingPlace k) {
                 return h.tables.other_cover_known ? h.ring(k).other_burnable_frac() : Figure{};
             },
             "vegetation other than conifers / mapped area; not scored, shown so that nobody reads "
             "a low exposure as safe; empty where the raster holds shares of conifers only"},
            {named::unmapped_frac + any, "Unmapped {}", share,
             [](H h, RingPlace k) { return h.ring(k).unmapped_frac(); },
             "ground without a known class or off the raster / area of the ring"}};
}

std::vector<Column<Home>> of_heights()
{
    using namespace unit;
    using H = const Home&;
    return {{"slope_pct", "Slope", percent, slope_pct,
             "slope of the ground around the structure, metres down per 100 m"},
            {named::aspect_deg, "Aspect", bearing, [](H h) { return h.terrain().aspect_deg; },
             "direction in which it falls, clockwise from the north of the analysis grid, 0 to "
             "360; empty on flat ground"},
            {"slope_residual_m", "Slope residual", m, slope_residual_m,
             "how far the heights are from a plane (root of the sum of squares / (cells - 3))"},
            {"slope_break_distance_m", "Slope break distance", m,
             [](H h) { return h.terrain().slope_break_m; },
             "from the uphill wall to where the slope breaks; empty if it does not within the "
             "widest ring"},
            {named::ring_down_factor, "Ring down factor", factor,
             [](H h) { return h.structure().stretch.down; },
             "how far rings beyond the innermost reach downhill and to the sides, as multiples of "
             "their distance"},
            {named::ring_across_factor, "Ring across factor", factor,
             [](H h) { return h.structure().stretch.across; }}};
}

} // namespace

double hectares(double m2)
{
    return std::max(m2, 0.0) / m2_per_ha;
}

std::vector<Column<Home>> address_columns(const RunLabels& labels)
{
    using namespace unit;
    using H = const Home&;
    return laid_out<Home>({
        {when(true), names_and_place()},
        {labels.rings, of_each_ring()},
        {labels.distances,
         {{"conifer_frac_within_{}", "Conifer within {}", share, conifer_frac_within,
           "the same from the wall out to distance D"}}},
        {when(true),
         {{"flags", "Flags", none, [](H h) { return flags_text(h.result()); },
           "words separated by semicolons ([below](#flags))"}}},
        {labels.heights, of_heights()},
        {labels.ring_owners,
         {{"conifer_m2_{}", "Conifer {}", m2, owner_m2,
           "conifers in ring L by owner of the land: `own`, the structure's own parcel; "
           "`other_private`, other private parcels; each other owner category in alphabetical "
           "order; `no_parcel`, land outside every parcel. They add up to `conifer_m2_L`"}}},
        {labels.parcels,
         {{"owner", "Owner", none, owner_of,
           "owner category of the structure's own parcel, the one with most of its footprint; "
           "empty if there is none"}}},
        {labels.multipliers,
         {{"susceptibility", "Susceptibility", multiplier,
           [](H h) { return h.tables.community.susceptibility[h.row.structure]; },
           "the product of the multipliers of the structure's attributes"},
          {"exposure_x_susceptibility", "Exposure x susceptibility", points,
           [](H h) { return h.result().exposure_x_susceptibility; },
           "the exposure times the susceptibility"}}},
        {labels.homes,
         {{"home", "Home", none, [](H h) { return h.structure().home ? 1 : 0; },
           "1 for a home (`inputs.structures.homes`), else 0"}}},
        {labels.people,
         {{"people", "People", people_count, [](H h) { return h.structure().people; },
           "people who live in the structure; empty where its layer does not say"}}},
        {labels.draws,
         {{"exposure_p05", "Exposure p05", of_100, [](H h) { return h.draws().exposure.p05; },
           "5th and 95th percentile of the exposure over the draws"},
          {"exposure_p95", "Exposure p95", of_100, [](H h) { return h.draws().exposure.p95; }}}},
        {labels.ring_draws,
         {{"conifer_frac_p05_{}", "Conifer p05 {}", share,
           [](H h, RingPlace k) { return h.draws().conifer_frac[k].p05; },
           "the same of the conifer fraction of ring L"},
          {"conifer_frac_p95_{}", "Conifer p95 {}", share,
           [](H h, RingPlace k) { return h.draws().conifer_frac[k].p95; }}}},
        {labels.draws,
         {{"share_of_draws_in_first", "Draws in which it is among the first", share,
           [](H h) { return h.draws().in_first; },
           "share of the draws in which the structure is among the first: the first tenth, or "
           "`uncertainty.first`"},
          {"draws_with_exposure", "Draws with exposure", none,
           [](H h) { return h.draws().with_exposure; },
           "draws in which some ring of the structure is mapped; the others do not count in its "
           "percentiles"}}},
    });
}

std::int64_t write_addresses_csv(const std::filesystem::path& path, const RunTables& tables,
                                 bool bom)
{
    const auto row = [&tables](std::size_t k) { return Home{tables, tables.rows[k]}; };
    return write_csv(path, address_columns(RunLabels{tables}), tables.rows.size(), row, bom);
}

} // namespace fuelring
