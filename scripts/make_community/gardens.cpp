// SPDX-License-Identifier: Apache-2.0
#include "gardens.hpp"

#include <algorithm>

namespace community {
namespace {

Paint stroke(Layer layer, Fuel code, Ring line, double half_width_m, double roughness)
{
    return {.layer = layer,
            .code = code,
            .area = {},
            .line = std::move(line),
            .half_width_m = half_width_m,
            .roughness = roughness};
}

Site site_of(const Lot& lot)
{
    return {lot.front, lot.along, lot.inward};
}

bool under_a_roof(const Homestead& home, Point p)
{
    return std::any_of(home.walls.begin(), home.walls.end(),
                       [&](const Ring& wall) { return contains(wall, p); });
}

void lay_lawn(const Lot& lot, const Homestead& home, const Manner& manner, Rng& rng,
              Community& community)
{
    if (!manner.wooded) {
        community.paints.push_back(
            {.layer = Layer::ground, .code = grass, .area = {lot.outline}, .line = {}});
        return;
    }
    // The forest was cleared about the house and along the drive only.
    const Point middle = home.site.at(0, home.depth_m / 2);
    const Site site = site_of(lot);
    community.paints.push_back(stroke(Layer::ground, grass, {lot.front, middle},
                                      home.width_m * rng.between(0.75, 1.25), 0.35));
    community.paints.push_back(stroke(
        Layer::ground, grass, {site.at(home.drive_a, 0), site.at(home.drive_a, home.drive_b + 3)},
        rng.between(4, 9), 0.3));
}

void lay_drive(const Lot& lot, const Homestead& home, Community& community)
{
    const Site site = site_of(lot);
    community.paints.push_back(
        stroke(Layer::garden, paved,
               {site.at(home.drive_a, -4), site.at(home.drive_a, home.drive_b)}, 1.5, 0));
}

/// A hedge along a side of the lot, or along its back, or along the street beside the drive.
/// A home whose hedge is gone two years later has its hedges all gone.
void plant_hedges(const Lot& lot, const Homestead& home, const Manner& manner, Rng& rng,
                  Community& community)
{
    if (!rng.chance(manner.hedge_chance))
        return;
    const bool later = !rng.chance(0.3);
    const Site site = site_of(lot);
    const double half = lot.frontage_m / 2 - 1.1, back = lot.depth_m - 1.3;
    const double half_width_m = rng.between(0.7, 1.3);
    const auto plant = [&](Ring line) {
        Paint hedge = stroke(Layer::garden, lone_conifer, std::move(line), half_width_m, 0.25);
        hedge.later = later;
        community.paints.push_back(std::move(hedge));
    };
    const double side = home.drive_a > 0 ? -1 : 1;
    if (rng.chance(0.7))
        plant({site.at(side * half, rng.between(1, 8)), site.at(side * half, back)});
    if (rng.chance(0.35))
        plant({site.at(-half * 0.9, back), site.at(half * 0.9, back)});
    if (rng.chance(0.3))
        plant({site.at(side * half, 1.1), site.at(-side * (half - 6), 1.1)});
}

/// Low conifers or shrubs against the front wall.
void plant_foundation(const Homestead& home, Rng& rng, Community& community)
{
    if (!rng.chance(0.3))
        return;
    const bool conifer = rng.chance(0.4);
    const double w = home.width_m / 2;
    const double from = rng.between(-w, 0);
    Paint bed = stroke(Layer::garden, conifer ? lone_conifer : shrub,
                       {home.site.at(from, -0.6), home.site.at(from + w * 0.9, -0.6)},
                       rng.between(0.6, 1.1), 0.3);
    bed.later = !conifer || rng.chance(0.7);
    community.paints.push_back(std::move(bed));
}

/// A place on the lot for a crown, away from the street and off the roofs unless it overhangs.
Point crown_place(const Lot& lot, Rng& rng)
{
    const bool behind = rng.chance(0.75);
    const double b =
        behind ? lot.depth_m * rng.between(0.55, 0.97) : lot.depth_m * rng.between(0.05, 0.5);
    return site_of(lot).at(lot.frontage_m * rng.between(-0.46, 0.46), b);
}

void plant_trees(const Lot& lot, const Homestead& home, double mean, Fuel code, Rng& rng,
                 Community& community)
{
    for (double left = mean * 2 * rng.unit(); left > 0; left -= 1) {
        if (left < 1 && !rng.chance(left))
            break;
        const Point place = crown_place(lot, rng);
        const double radius_m = rng.between(1.5, code == lone_conifer ? 3.4 : 4.5);
        if (under_a_roof(home, place) || !contains(lot.outline, place))
            continue;
        const Layer layer = rng.chance(0.35) ? Layer::crown : Layer::garden;
        community.paints.push_back(stroke(layer, code, {place}, radius_m, 0.22));
    }
}

} // namespace

void plant_garden(const Lot& lot, const Homestead& home, const Manner& manner, Rng& rng,
                  Community& community)
{
    lay_lawn(lot, home, manner, rng, community);
    lay_drive(lot, home, community);
    plant_trees(lot, home, 0.5, shrub, rng, community);
    plant_hedges(lot, home, manner, rng, community);
    plant_foundation(home, rng, community);
    plant_trees(lot, home, manner.leaf_trees_per_lot, broadleaved, rng, community);
    plant_trees(lot, home, manner.conifers_per_lot, lone_conifer, rng, community);
}

void scatter_crowns(const Ring& area, double spacing_m, double conifer_share, Rng& rng,
                    Community& community)
{
    const Box box = box_of(area);
    for (double y = box.south; y < box.north; y += spacing_m)
        for (double x = box.west; x < box.east; x += spacing_m) {
            const Point p{x + rng.between(-0.5, 0.5) * spacing_m,
                          y + rng.between(-0.5, 0.5) * spacing_m};
            const Fuel code = rng.chance(conifer_share) ? lone_conifer : broadleaved;
            const double radius_m = rng.between(1.6, 4);
            if (contains(area, p) && rng.chance(0.7))
                community.paints.push_back(stroke(Layer::garden, code, {p}, radius_m, 0.22));
        }
}

void plant_avenue(const Spine& spine, double from, double to, double beside_m, Rng& rng,
                  Community& community)
{
    for (double along = from; along < to; along += rng.between(11, 19)) {
        // One draw a statement: the order of a call's arguments is the compiler's choice.
        const double radius_m = rng.between(1.6, 3);
        const Point place = spine.at(along, beside_m + rng.between(-0.5, 0.5));
        community.paints.push_back(stroke(Layer::crown, broadleaved, {place}, radius_m, 0.2));
    }
}

} // namespace community
