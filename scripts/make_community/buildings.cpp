// SPDX-License-Identifier: Apache-2.0
#include "buildings.hpp"

#include <algorithm>
#include <array>

namespace community {
namespace {

constexpr double side_yard_m = 1.6;

std::string roof_of(Rng& rng)
{
    const std::array<const char*, 4> roofs{"metal", "asphalt", "tile", "wood"};
    return roofs[rng.below(roofs.size())];
}

/// An outline in a box of w x d metres; b = 0 is the front wall.
using Form = Polygon (*)(const Site& site, double w, double d, Rng& rng);

Polygon plain(const Site& site, double w, double d, Rng&)
{
    return {rectangle_on(site, -w / 2, 0, w / 2, d)};
}

Polygon ell(const Site& site, double w, double d, Rng& rng)
{
    const double wing = w * rng.between(0.35, 0.55), front = d * rng.between(0.4, 0.6);
    const double side = rng.chance(0.5) ? 1 : -1;
    return {ring_on(site, {{-side * w / 2, d - front},
                           {side * (w / 2 - wing), d - front},
                           {side * (w / 2 - wing), 0},
                           {side * w / 2, 0},
                           {side * w / 2, d},
                           {-side * w / 2, d}})};
}

Polygon tee(const Site& site, double w, double d, Rng& rng)
{
    const double stem = w * rng.between(0.3, 0.45), bar = d * rng.between(0.45, 0.6);
    const double shift = w * rng.between(-0.12, 0.12);
    return {ring_on(site, {{-w / 2, 0},
                           {w / 2, 0},
                           {w / 2, bar},
                           {shift + stem / 2, bar},
                           {shift + stem / 2, d},
                           {shift - stem / 2, d},
                           {shift - stem / 2, bar},
                           {-w / 2, bar}})};
}

Polygon bay_front(const Site& site, double w, double d, Rng& rng)
{
    const double at = w * rng.between(-0.2, 0.2);
    return {ring_on(site, {{-w / 2, 1.2},
                           {at - 2, 1.2},
                           {at - 1.2, 0},
                           {at + 1.2, 0},
                           {at + 2, 1.2},
                           {w / 2, 1.2},
                           {w / 2, d},
                           {-w / 2, d}})};
}

Polygon stepped(const Site& site, double w, double d, Rng& rng)
{
    const double step = rng.between(1.2, 2.4), at = w * rng.between(-0.15, 0.15);
    return {ring_on(site, {{-w / 2, 0},
                           {at, 0},
                           {at, step},
                           {w / 2, step},
                           {w / 2, d},
                           {at + w * 0.2, d},
                           {at + w * 0.2, d - step},
                           {-w / 2, d - step}})};
}

Polygon house_form(const Site& site, double w, double d, Rng& rng)
{
    const std::array<std::pair<double, Form>, 5> forms{
        {{0.45, plain}, {0.70, ell}, {0.80, tee}, {0.88, bay_front}, {1.00, stepped}}};
    const double pick = rng.unit();
    for (const auto& [up_to, form] : forms)
        if (pick < up_to)
            return form(site, w, d, rng);
    return plain(site, w, d, rng);
}

bool fits(const Ring& ring, const Lot& lot)
{
    return std::all_of(ring.begin(), ring.end(), [&](Point p) { return contains(lot.outline, p); });
}

Site site_of(const Lot& lot)
{
    return {lot.front, lot.along, lot.inward};
}

/// The garage of a two-part house stands apart from it and belongs to it.
void add_second_part(const Lot& lot, Homestead& home, std::vector<Polygon>& parts)
{
    const Ring ring = rectangle_on(home.site, home.width_m / 2 + 1, home.depth_m - 5.5,
                                   home.width_m / 2 + 5.5, home.depth_m + 1);
    if (fits(ring, lot))
        parts.push_back({ring});
}

void add_garage(const Lot& lot, Rng& rng, StructureNumbers& numbers, Homestead& home,
                Community& community)
{
    const double w = rng.between(3.6, 6.8), d = rng.between(5.8, 7.4);
    const double side = rng.chance(0.5) ? 1 : -1;
    const double a = side * (lot.frontage_m / 2 - 1.3 - w / 2);
    const double house_back = dot(home.site.origin - lot.front, lot.inward) + home.depth_m;
    const double b = std::min(house_back + rng.between(2, 5), lot.depth_m - d - 1.5);
    const Ring ring = rectangle_on(site_of(lot), a - w / 2, b, a + w / 2, b + d);
    if (b < house_back + 1.2 || !fits(ring, lot))
        return;
    add_structure(community, numbers, "garage", roof_of(rng), {{ring}});
    home.walls.push_back(ring);
    home.drive_a = a;
    home.drive_b = b;
}

void add_shed(const Lot& lot, Rng& rng, StructureNumbers& numbers, Homestead& home,
              Community& community)
{
    const double w = rng.between(2.2, 3.8), d = rng.between(1.9, 3.4);
    const double a = (home.drive_a > 0 ? -1 : 1) * (lot.frontage_m / 2 - 2.2 - w / 2);
    const double b = lot.depth_m - d - rng.between(1.2, 2.5);
    const Ring ring = rectangle_on(site_of(lot), a - w / 2, b, a + w / 2, b + d);
    const bool clear = std::none_of(home.walls.begin(), home.walls.end(), [&](const Ring& wall) {
        return box_of(wall).grown(1).meets(box_of(ring));
    });
    if (!fits(ring, lot) || !clear)
        return;
    add_structure(community, numbers, "shed", roof_of(rng), {{ring}});
    home.walls.push_back(ring);
}

/// Most homes have one address; some are flats, some (cabins, empty houses) have none.
void add_addresses(const Lot& lot, const Homestead& home, Rng& rng, Community& community)
{
    const std::string text = lot.street + " " + std::to_string(lot.number);
    const double pick = rng.unit();
    if (pick < 0.03)
        return;
    // Geocoders put the point in the house, or on the drive before it.
    const double b = rng.chance(0.75) ? rng.between(1.5, 4) : -rng.between(1, 6);
    if (pick < 0.09) {
        const int flats = rng.chance(0.6) ? 2 : 3;
        for (int i = 0; i < flats; ++i)
            community.addresses.push_back(
                {text + static_cast<char>('A' + i), snapped(home.site.at(1.5 * (i - 1), b))});
        return;
    }
    community.addresses.push_back({text, snapped(home.site.at(rng.between(-2, 2), b))});
}

} // namespace

Site Site::turned(double skew) const
{
    const Point new_along = unit(along + inward * skew);
    const Point left = left_of(new_along);
    return {origin, new_along, dot(left, inward) > 0 ? left : left * -1};
}

Ring ring_on(const Site& site, const std::vector<Point>& corners)
{
    Ring ring;
    for (const Point corner : corners)
        ring.push_back(snapped(site.at(corner.x, corner.y)));
    if (signed_area_m2(ring) < 0)
        std::reverse(ring.begin(), ring.end());
    return ring;
}

Ring rectangle_on(const Site& site, double a0, double b0, double a1, double b1)
{
    return ring_on(site, {{a0, b0}, {a1, b0}, {a1, b1}, {a0, b1}});
}

std::string StructureNumbers::next()
{
    const std::string digits = std::to_string(++count_);
    return prefix_ + std::string(digits.size() < 4 ? 4 - digits.size() : 0, '0') + digits;
}

void add_structure(Community& community, StructureNumbers& numbers, std::string kind,
                   std::string roof, std::vector<Polygon> parts)
{
    for (const Polygon& part : parts)
        community.paints.push_back(
            {.layer = Layer::roof, .code = building, .area = part, .line = {}});
    community.structures.push_back(
        {numbers.next(), std::move(kind), std::move(roof), std::move(parts)});
}

namespace {

/// Tries to stand a house on the lot: its parts, or none where it does not fit.
std::vector<Polygon> place_house(const Lot& lot, const Manner& manner, double scale, Rng& rng,
                                 Homestead& home)
{
    const double widest_m = lot.frontage_m - 2 * side_yard_m - rng.between(0, 3);
    home.width_m = std::min(widest_m, rng.between(9, 15) * scale);
    home.depth_m = std::min(rng.between(7.5, 11.5) * scale, lot.depth_m * 0.42);
    if (home.width_m < 5.5)
        return {};
    const double slack_m = std::max(0.0, lot.frontage_m - home.width_m - 2 * side_yard_m) / 2;
    const double setback_m = manner.setback_m * rng.between(0.8, 1.3);
    Site site = site_of(lot);
    site.origin = site.at(slack_m * rng.between(-0.8, 0.8), setback_m);
    // Most houses stand square to their street, a few were built before it.
    home.site = site.turned(rng.chance(0.12) ? rng.between(-0.35, 0.35) : rng.between(-0.03, 0.03));
    home.drive_a = (rng.chance(0.5) ? 1 : -1) * (lot.frontage_m / 2 - 3);
    home.drive_b = setback_m + 4;
    std::vector<Polygon> parts{house_form(home.site, home.width_m, home.depth_m, rng)};
    if (!fits(parts[0][0], lot))
        return {};
    if (rng.chance(0.14))
        add_second_part(lot, home, parts);
    return parts;
}

} // namespace

Homestead build_home(const Lot& lot, const Manner& manner, Rng& rng, StructureNumbers& numbers,
                     Community& community)
{
    Homestead home{};
    std::vector<Polygon> parts;
    for (double scale = 1; parts.empty() && scale > 0.6; scale *= 0.88)
        parts = place_house(lot, manner, scale * manner.house_scale, rng, home);
    if (parts.empty())
        return home;
    for (const Polygon& part : parts)
        home.walls.push_back(part[0]);
    add_structure(community, numbers, "house", roof_of(rng), std::move(parts));
    home.has_house = true;
    add_addresses(lot, home, rng, community);
    if (rng.chance(manner.garage_chance))
        add_garage(lot, rng, numbers, home, community);
    if (rng.chance(manner.shed_chance))
        add_shed(lot, rng, numbers, home, community);
    return home;
}

} // namespace community
