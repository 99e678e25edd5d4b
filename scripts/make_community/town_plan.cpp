// SPDX-License-Identifier: Apache-2.0
#include "town_plan.hpp"

#include "gardens.hpp"

#include <algorithm>

namespace community {
namespace {

constexpr Manner flats{.frontage_m = 18.5,
                       .setback_m = 6,
                       .hedge_chance = 0.3,
                       .conifers_per_lot = 0.5,
                       .leaf_trees_per_lot = 1.2};
constexpr Manner bench{.frontage_m = 22,
                       .setback_m = 7.5,
                       .house_scale = 1.05,
                       .hedge_chance = 0.34,
                       .conifers_per_lot = 1.0,
                       .garage_chance = 0.55};
constexpr Manner hill{.frontage_m = 29,
                      .setback_m = 9,
                      .house_scale = 1.2,
                      .hedge_chance = 0.08,
                      .conifers_per_lot = 1.6,
                      .leaf_trees_per_lot = 0.6,
                      .garage_chance = 0.6,
                      .vacant_chance = 0.08,
                      .wooded = true};
constexpr Manner rural{.frontage_m = 40,
                       .setback_m = 12,
                       .house_scale = 1.2,
                       .hedge_chance = 0.15,
                       .conifers_per_lot = 2.2,
                       .leaf_trees_per_lot = 1.6,
                       .garage_chance = 0.6,
                       .shed_chance = 0.45,
                       .wooded = true};

bool overlaps_earlier(const Lot& lot, const Town& town)
{
    // Seen at points of the lot: enough for lots, which are not slender.
    for (double u = 0.06; u < 1; u += 0.22)
        for (double v = 0.06; v < 1; v += 0.22) {
            const Point p = lot.front + lot.along * ((u - 0.5) * lot.frontage_m) +
                            lot.inward * (v * lot.depth_m);
            const auto holds = [&](const Ring& ring) { return contains(ring, p); };
            if (std::any_of(town.lots.begin(), town.lots.end(),
                            [&](const Lot& other) { return holds(other.outline); }) ||
                std::any_of(town.made.streets.begin(), town.made.streets.end(),
                            [&](const Polygon& street) { return holds(street[0]); }))
                return true;
        }
    return false;
}

void add_row(const RowPlan& row, Town& town)
{
    std::vector<Lot> lots = lay_out(row, town.rng, town.house_numbers, town.made);
    for (Lot& lot : lots) {
        if (row.manner.wooded && overlaps_earlier(lot, town))
            continue;
        if (!town.rng.chance(row.manner.vacant_chance)) {
            const Homestead home =
                build_home(lot, row.manner, town.rng, town.structure_numbers, town.made);
            if (home.has_house)
                plant_garden(lot, home, row.manner, town.rng, town.made);
        }
        town.lots.push_back(std::move(lot));
    }
}

void clear_ground(const Ring& area, Town& town)
{
    town.made.paints.push_back({.layer = Layer::ground, .code = grass, .area = {area}, .line = {}});
}

void settle_old_town(Town& town)
{
    const Spine& road = town.bend_road;
    clear_ground(band_between(road, -128, 178, town_wander_m, 590, 1480), town);
    clear_ground(band_between(road, 172, 216, town_wander_m, 715, 1400), town);
    const auto row = [&](double near_m, double far_m, const char* near_street,
                         const char* far_street, std::vector<double> cuts, const Manner& manner) {
        add_row({.spine = &road,
                 .near_m = near_m,
                 .far_m = far_m,
                 .near_street = near_street,
                 .far_street = far_street,
                 .cuts = std::move(cuts),
                 .manner = manner,
                 .wander_m = town_wander_m,
                 .cross_streets = far_street[0] != '\0'},
                town);
    };
    row(0, -84, "Bend Road", "Heron Street", {640, 760, 880, 1010}, flats);
    row(0, -84, "Bend Road", "Heron Street", {1130, 1265, 1400}, flats);
    row(-84, -127, "Heron Street", "", {645, 965}, flats);
    row(0, 86, "Bend Road", "Larch Way", {600, 715, 840, 985}, flats);
    row(0, 86, "Bend Road", "Larch Way", {1120, 1280, 1440}, flats);
    row(86, 170, "Larch Way", "Juniper Row", {665, 790, 925, 1075, 1230, 1420}, bench);
    row(170, 213, "Juniper Row", "", {720, 1150}, bench);
    row(170, 213, "Juniper Row", "", {1225, 1395}, bench);
}

/// A lane with lots on one side.
void add_side(const Spine& lane, const char* street, double depth_m, std::vector<double> cuts,
              const Manner& manner, Town& town)
{
    add_row({.spine = &lane,
             .near_m = 0,
             .far_m = depth_m,
             .near_street = street,
             .far_street = "",
             .cuts = std::move(cuts),
             .manner = manner,
             .wander_m = 0,
             .slant = 0,
             .cross_streets = false,
             .paved_half_m = 2.9},
            town);
}

/// A lane with its verges, which begin `verge_from` metres along it.
void add_lane(const Spine& lane, double half_width_m, double verge_from, Town& town)
{
    town.made.paints.push_back({.layer = Layer::ground,
                                .code = grass,
                                .area = {},
                                .line = street_curve(lane, 0, 0, verge_from, lane.length_m()),
                                .half_width_m = 8,
                                .roughness = 0.35});
    add_street(street_curve(lane, 0, 0, 0, lane.length_m()), half_width_m, town.made);
}

/// The turning place at the end of a lane.
void add_bulb(const Spine& lane, Town& town)
{
    town.made.paints.push_back({.layer = Layer::road,
                                .code = paved,
                                .area = {},
                                .line = {lane.at(lane.length_m())},
                                .half_width_m = 8.5});
}

void settle_lanes(Town& town)
{
    add_lane(town.kestrel_lane, 2.9, 0, town);
    add_lane(town.thimble_court, 2.9, 0, town);
    add_lane(town.ferry_road, 3.4, 225, town);
    add_lane(town.alder_lane, 2.6, 0, town);
    add_bulb(town.kestrel_lane, town);
    add_bulb(town.thimble_court, town);
    add_bulb(town.alder_lane, town);
    const double lane_end = town.kestrel_lane.length_m() - 4;
    add_side(town.kestrel_lane, "Kestrel Lane", 54, {165, lane_end}, hill, town);
    add_side(town.kestrel_lane, "Kestrel Lane", -54, {165, lane_end}, hill, town);
    const double court_end = town.thimble_court.length_m() - 4;
    add_side(town.thimble_court, "Thimble Court", 50, {20, court_end}, hill, town);
    add_side(town.thimble_court, "Thimble Court", -50, {20, court_end}, hill, town);
    add_side(town.ferry_road, "Ferry Road", 60, {285, 720}, rural, town);
    add_side(town.ferry_road, "Ferry Road", -60, {285, 720}, rural, town);
    const double alder_end = town.alder_lane.length_m() - 4;
    add_side(town.alder_lane, "Alder Lane", 58, {30, alder_end}, rural, town);
    add_side(town.alder_lane, "Alder Lane", -58, {30, alder_end}, rural, town);
}

/// Hay fields on the valley floor, with trees along one side.
void mow_fields(Town& town)
{
    const Ring fields[] = {{{462, 1428}, {600, 1238}, {735, 1290}, {668, 1480}},
                           {{452, 1448}, {650, 1498}, {610, 1590}, {345, 1592}},
                           {{1330, 545}, {1590, 462}, {1622, 590}, {1370, 655}},
                           {{1610, 456}, {1850, 368}, {1880, 480}, {1640, 585}},
                           {{150, 1330}, {285, 1230}, {225, 1195}, {95, 1290}}};
    for (const Ring& field : fields) {
        clear_ground(field, town);
        town.made.paints.push_back({.layer = Layer::ground,
                                    .code = broadleaved,
                                    .area = {},
                                    .line = {field[2], field[3]},
                                    .half_width_m = 3.2,
                                    .roughness = 0.5});
    }
}

void add_main_road(Town& town)
{
    const auto stretch = [&](double base, double from, double to, double half_m) {
        add_street(street_curve(town.bend_road, base, town_wander_m, from, to), half_m, town.made);
    };
    stretch(0, 0, town.bend_road.length_m(), 4.6);
    stretch(-84, 1005, 1135, 3.4); // past the park
    stretch(-84, 1390, 1470, 3.4); // to the bridge
    stretch(86, 1430, 1560, 3.4);  // round the shops
}

} // namespace

Town::Town(std::uint64_t seed)
    : rng(seed), structure_numbers("TB-"), bend_road({{255, 1650},
                                                      {430, 1420},
                                                      {600, 1180},
                                                      {690, 950},
                                                      {770, 760},
                                                      {920, 615},
                                                      {1130, 545},
                                                      {1400, 500},
                                                      {1700, 400},
                                                      {2100, 250}}),
      kestrel_lane({{974, 776},
                    {1018, 850},
                    {1040, 930},
                    {1095, 1003},
                    {1190, 1030},
                    {1270, 1092},
                    {1370, 1105},
                    {1440, 1172},
                    {1510, 1190}}),
      thimble_court({{1190, 1030}, {1262, 985}, {1345, 962}, {1435, 985}}),
      ferry_road({{1132, 548},
                  {1141, 450},
                  {1152, 372},
                  {1168, 290},
                  {1235, 215},
                  {1350, 178},
                  {1470, 140},
                  {1590, 58}}),
      alder_lane({{1168, 288}, {1090, 256}, {980, 264}, {880, 300}, {790, 318}})
{}

void settle(Town& town)
{
    mow_fields(town);
    add_main_road(town);
    settle_old_town(town);
    settle_lanes(town);
    plant_avenue(town.bend_road, 700, 1560, -6.4, town.rng, town.made);
}

} // namespace community
