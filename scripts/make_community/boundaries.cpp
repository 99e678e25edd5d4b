// SPDX-License-Identifier: Apache-2.0
#include "tamarack_bend.hpp"
#include "tools/write.hpp"
#include "town_plan.hpp"

namespace community {
namespace {

Ring along_bend_road(const Town& town, double near_m, double far_m, double from, double to)
{
    return band_between(town.bend_road, near_m, far_m, town_wander_m, from, to);
}

void draw_neighbourhoods(Town& town)
{
    std::vector<Named>& all = town.made.neighbourhoods;
    all.push_back({"Heron Flats", {along_bend_road(town, -150, 0, 600, 1480)}});
    all.push_back({"Orchard Rows", {along_bend_road(town, 0, 86, 560, 1580)}});
    all.push_back({"Larch Bench", {along_bend_road(town, 86, 222, 610, 1500)}});
    all.push_back({"Kestrel Rise",
                   {{{1000, 870},
                     {1090, 880},
                     {1190, 925},
                     {1330, 890},
                     {1480, 900},
                     {1580, 1080},
                     {1590, 1270},
                     {1400, 1250},
                     {1240, 1180},
                     {1060, 1100},
                     {960, 960}}}});
    all.push_back({"Ferry Bank",
                   {{{730, 360},
                     {830, 395},
                     {1050, 350},
                     {1160, 340},
                     {1330, 300},
                     {1560, 230},
                     {1680, 130},
                     {1640, 0},
                     {1460, 0},
                     {1180, 110},
                     {900, 190},
                     {720, 240}}}});
}

Ring rectangle(double west, double south, double east, double north)
{
    return {{west, south}, {east, south}, {east, north}, {west, north}};
}

std::vector<Polygon> private_ground(const Town& town)
{
    const std::vector<Polygon> beyond_lots{{along_bend_road(town, 7, 79, 1447, 1560)},
                                           {along_bend_road(town, -77, -7, 1404, 1447)},
                                           {along_bend_road(town, 7, 120, 1860, 2010)}};
    std::vector<Polygon> ground = difference(beyond_lots, town.made.streets);
    for (const Lot& lot : town.lots)
        ground.push_back({lot.outline});
    return ground;
}

/// Streets, school and parks, before the lots are cut out.
std::vector<Polygon> town_ground(const Town& town)
{
    std::vector<Polygon> ground = town.made.streets;
    ground.push_back({along_bend_road(town, -148, -84, 630, 1470)}); // river park
    ground.push_back({along_bend_road(town, -84, 0, 1010, 1130)});   // Bend Park
    ground.push_back({along_bend_road(town, 0, 86, 985, 1120)});     // school
    return ground;
}

std::vector<Polygon> joined(std::vector<Polygon> some, const std::vector<Polygon>& more)
{
    some.insert(some.end(), more.begin(), more.end());
    return some;
}

/// Private lots; municipal streets, school and parks; crown land for the rest of the extent.
void draw_parcels(Town& town)
{
    const Ring extent = rectangle(0, 0, tamarack_width_m, tamarack_height_m);
    const Polygon outside{rectangle(-500, -500, tamarack_width_m + 500, tamarack_height_m + 500),
                          extent};
    const std::vector<Polygon> lots = private_ground(town);
    std::vector<Polygon> streets = town_ground(town);
    const std::vector<Polygon> built = joined(lots, streets);
    constexpr double leftover_m2 = 100; // too small to be forest: the town keeps it
    for (const Polygon& piece : difference({{extent}}, built))
        if (std::abs(signed_area_m2(piece[0])) < leftover_m2)
            streets.push_back(piece);
    const std::vector<Polygon> municipal = difference(streets, joined(lots, {outside}));
    const std::vector<Polygon> crown = difference({{extent}}, joined(lots, municipal));
    const auto add = [&](const char* owner, const std::vector<Polygon>& areas) {
        for (const Polygon& area : areas)
            town.made.parcels.push_back({owner, area});
    };
    add("private", lots);
    add("municipal", municipal);
    add("crown", crown);
}

void thin(const Ring& area, Town& town)
{
    const Box box = box_of(area);
    constexpr double spacing_m = 5.5;
    for (double y = box.south; y < box.north; y += spacing_m)
        for (double x = box.west; x < box.east; x += spacing_m) {
            const Point p{x + town.rng.between(-2, 2), y + town.rng.between(-2, 2)};
            const double radius_m = town.rng.between(1.6, 3.4);
            if (contains(area, p))
                town.made.paints.push_back({.layer = Layer::ground,
                                            .code = grass,
                                            .area = {},
                                            .line = {p},
                                            .half_width_m = radius_m,
                                            .roughness = 0.2,
                                            .now = false,
                                            .only_on_wood = true});
        }
}

/// What is done to the forest between the two rasters.
void treat_forest(Town& town)
{
    const Ring rise = {{1170, 1110}, {1262, 1172}, {1392, 1188},
                       {1402, 1236}, {1240, 1222}, {1140, 1150}};
    town.made.treated_strips.push_back({"Kestrel Break", {rise}});
    town.made.paints.push_back({.layer = Layer::ground,
                                .code = grass,
                                .area = {rise},
                                .line = {},
                                .now = false,
                                .only_on_wood = true});
    const Ring scarp = along_bend_road(town, 216, 300, 830, 1160);
    town.made.treated_strips.push_back({"Bench Thinning", {scarp}});
    thin(scarp, town);
    const Ring bank = {{690, 395}, {735, 415}, {800, 262}, {880, 205}, {860, 165}, {755, 225}};
    town.made.treated_strips.push_back({"Alder Strip", {bank}});
    thin(bank, town);
}

/// What was on paper before. The break has a wing that a second sheet drew again in part.
void draw_projects(Town& town)
{
    const Ring rise = {{1170, 1110}, {1262, 1172}, {1392, 1188},
                       {1402, 1236}, {1240, 1222}, {1140, 1150}};
    const Ring wing = {{1060, 1050}, {1180, 1090}, {1212, 1150}, {1150, 1160}, {1050, 1100}};
    const Ring scarp = along_bend_road(town, 216, 300, 830, 1160);
    const Ring gardens = {{1070, 940},  {1190, 975},  {1330, 945}, {1460, 965},
                          {1490, 1070}, {1300, 1100}, {1110, 1050}};
    town.made.projects = {{"Kestrel Break", "0", "15600", "2025", {rise}},
                          {"Kestrel Break", "0.3", "9400", "2026", {wing}},
                          {"Bench Thinning", "0.4", "13500", "2025", {scarp}},
                          {"Kestrel Gardens", "0.25", "31000", "2026", {gardens}}};
}

/// Two flight lines that do not quite meet.
void tear_imagery(Town& town)
{
    const Ring gap = {{1118, 1600}, {1127, 1600}, {1047, 0}, {1041, 0}};
    town.made.paints.push_back({.layer = Layer::gap, .code = no_data, .area = {gap}, .line = {}});
}

} // namespace

void draw_boundaries(Town& town)
{
    draw_neighbourhoods(town);
    draw_parcels(town);
    treat_forest(town);
    draw_projects(town);
    tear_imagery(town);
}

} // namespace community
