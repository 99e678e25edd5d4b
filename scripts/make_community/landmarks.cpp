// SPDX-License-Identifier: Apache-2.0
#include "gardens.hpp"
#include "town_plan.hpp"

#include <algorithm>

namespace community {
namespace {

/// A place beside the main road, facing it.
Site beside_bend_road(const Town& town, double along, double beside)
{
    const Point direction = town.bend_road.direction(along);
    const double line = street_line(0, town_wander_m, along);
    const Point inward = left_of(direction) * (beside > 0 ? 1 : -1);
    return {town.bend_road.at(along, line + beside), direction, inward};
}

void pave_area(const Ring& ring, Town& town)
{
    town.made.paints.push_back({.layer = Layer::road, .code = paved, .area = {ring}, .line = {}});
}

void add_address(Town& town, const char* text, Point place)
{
    town.made.addresses.push_back({text, snapped(place)});
}

void build(Town& town, const char* kind, std::vector<Polygon> parts)
{
    add_structure(town.made, town.structure_numbers, kind, "metal", std::move(parts));
}

/// A school round a courtyard, with a covered walk 45 cm wide to its gymnasium.
void add_school(Town& town)
{
    const Site site = beside_bend_road(town, 1052, 26);
    const Ring outer = ring_on(
        site, {{-40, 0}, {14, 0}, {14, -4}, {24, -4}, {24, 40}, {-6, 40}, {-6, 34}, {-40, 34}});
    const Ring court = ring_on(site, {{-28, 11}, {10, 11}, {10, 23}, {-28, 23}});
    build(town, "school", {{outer, court}});
    build(town, "school", {{rectangle_on(site, 30, 24, 46, 44)}});
    build(town, "walkway", {{rectangle_on(site, -6, 47, 38, 47.45)}});
    pave_area(rectangle_on(site, -38, -15, 8, -3), town);
    add_address(town, "School Place 1", site.at(2, 3));
    const Site trees = beside_bend_road(town, 1052, 10);
    scatter_crowns(rectangle_on(trees, -48, 60, 20, 68), 9, 0.6, town.rng, town.made);
}

void add_park(Town& town)
{
    const Site site = beside_bend_road(town, 1070, -14);
    scatter_crowns(rectangle_on(site, -50, 3, 50, 60), 12, 0.45, town.rng, town.made);
    build(town, "hall",
          {{ring_on(
              site,
              {{-12, 6}, {12, 6}, {12, 18}, {5, 18}, {5, 30}, {-5, 30}, {-5, 18}, {-12, 18}})}});
    add_address(town, "Park Walk 1", site.at(0, 8));
    const Ring river_park = band_between(town.bend_road, -128, -92, town_wander_m, 1000, 1400);
    scatter_crowns(river_park, 17, 0.35, town.rng, town.made);
}

void add_shop(Town& town, double along, double beside, double w, double d, const char* address)
{
    const Site site = beside_bend_road(town, along, beside);
    build(town, "shop",
          {{ring_on(site,
                    {{-w / 2, 0}, {w / 2, 0}, {w / 2, d}, {0, d}, {0, d - 3}, {-w / 2, d - 3}})}});
    add_address(town, address, site.at(0, 3));
}

void add_shops(Town& town)
{
    pave_area(band_between(town.bend_road, 8, 70, town_wander_m, 1452, 1556), town);
    add_shop(town, 1470, 28, 26, 18, "Bend Road 110");
    add_shop(town, 1503, 30, 30, 20, "Bend Road 112");
    add_shop(town, 1538, 26, 24, 15, "Bend Road 114");
    const Site inn = beside_bend_road(town, 1425, -22);
    build(town, "inn", {{rectangle_on(inn, -13, 0, 13, 24), rectangle_on(inn, -7, 7, 7, 17)}});
    for (const char* room : {"Bend Road 111/1", "Bend Road 111/2", "Bend Road 111/3"})
        add_address(town, room, inn.at(town.rng.between(-6, 6), 3));
}

/// A farm down the valley, outside every neighbourhood.
void add_farm(Town& town)
{
    const Site site = beside_bend_road(town, 1930, 32).turned(0.2);
    build(town, "house", {{ring_on(site, {{-7, 0}, {7, 0}, {7, 9}, {1, 9}, {1, 13}, {-7, 13}})}});
    add_address(town, "Bend Road 301", site.at(0, 4));
    build(town, "barn", {{rectangle_on(site.turned(-0.3), 22, 14, 36, 44)}});
    build(town, "barn", {{rectangle_on(site, -36, 26, -14, 38)}});
    build(town, "shed", {{rectangle_on(site, -28, 12, -24.5, 16)}});
    pave_area(rectangle_on(site, -4, -30, 0, 22), town);
    town.made.paints.push_back({.layer = Layer::garden,
                                .code = lone_conifer,
                                .area = {},
                                .line = {site.at(-30, 48), site.at(40, 54)},
                                .half_width_m = 3.2,
                                .roughness = 0.3});
}

/// Outlines as badly drawn as real ones now and then are.
void add_bad_outlines(Town& town)
{
    const Site site = beside_bend_road(town, 1462, -24);
    build(town, "workshop",
          {{{snapped(site.at(-9, 0)), snapped(site.at(9, 0)), snapped(site.at(-6, 15)),
             snapped(site.at(10, 15))}}});
    const auto last_house =
        std::find_if(town.made.structures.rbegin(), town.made.structures.rend(),
                     [](const Structure& s) { return s.kind == "house" && s.parts.size() == 1; });
    const std::vector<Polygon> same = last_house->parts;
    build(town, "house", same);
}

void add_odd_addresses(Town& town)
{
    add_address(town, "Mooring Lane 1", {1120, 415}); // a mooring, no building
    add_address(town, "Bend Road 400", {1905, 402});  // a field gate
    const auto larch_14 = std::find_if(town.made.addresses.begin(), town.made.addresses.end(),
                                       [](const Address& a) { return a.text == "Larch Way 14"; });
    if (larch_14 != town.made.addresses.end()) {
        const Point place = larch_14->place;
        add_address(town, "Larch Way 14, Unit 2", place + Point{0.5, 0.5});
    }
    const Lot& lane_lot = town.lots.back();
    const Site site{lane_lot.front, lane_lot.along, lane_lot.inward};
    const Site cabin = Site{site.at(6, lane_lot.depth_m - 14), site.along, site.inward}.turned(0.4);
    build(town, "cabin", {{rectangle_on(cabin, -3.5, 0, 3.5, 5.5)}});
    add_address(town, "Allée des Épinettes 1", cabin.at(0, 2));
}

} // namespace

void add_landmarks(Town& town)
{
    add_school(town);
    add_park(town);
    add_shops(town);
    add_farm(town);
    add_bad_outlines(town);
    add_odd_addresses(town);
}

} // namespace community
