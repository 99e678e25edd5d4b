// SPDX-License-Identifier: Apache-2.0
#include "village.hpp"

#include "gardens.hpp"
#include "layout.hpp"
#include "tools/write.hpp"

#include <array>
#include <cmath>

namespace community {
namespace {

constexpr double half_length_m = 285;
constexpr double row_depth_m = 84;
constexpr std::array<const char*, 5> street_names{"Larch Way", "Juniper Row", "Main Street",
                                                  "Heron Street", "Alder Lane"};

/// A curved main street across the middle of the square.
Spine main_street(Rng& rng)
{
    const Point middle{village_pitch_m / 2 + rng.between(-40, 40),
                       village_pitch_m / 2 + rng.between(-40, 40)};
    const Point along = unit(Point{rng.between(-1, 1), rng.between(-1, 1) + 1e-9});
    const Point across = left_of(along);
    const double bow_m = rng.between(-55, 55), twist_m = rng.between(-30, 30);
    return Spine{{middle - along * half_length_m - across * (bow_m + twist_m),
                  middle - along * (half_length_m / 3) + across * bow_m,
                  middle + along * (half_length_m / 3) + across * bow_m,
                  middle + along * half_length_m - across * (bow_m - twist_m)}};
}

std::vector<double> cross_streets(double length_m, Rng& rng)
{
    std::vector<double> cuts{20};
    while (cuts.back() < length_m - 150)
        cuts.push_back(cuts.back() + rng.between(95, 150));
    cuts.push_back(length_m - 20);
    return cuts;
}

Manner manner_of(Rng& rng)
{
    Manner manner{.frontage_m = rng.between(18, 24), .setback_m = rng.between(6, 10)};
    manner.hedge_chance = rng.between(0.05, 0.5);
    manner.conifers_per_lot = rng.between(0.2, 2.2);
    manner.leaf_trees_per_lot = rng.between(0.3, 1.8);
    manner.wooded = rng.chance(0.3);
    return manner;
}

/// Lots at the inside of a sharp bend may run into each other: only the first becomes a parcel.
void claim_ground(const Lot& lot, Community& village)
{
    constexpr double overlap_m2 = 0.01;
    std::vector<Polygon> near;
    for (const Parcel& earlier : village.parcels)
        if (box_of(earlier.area[0]).meets(box_of(lot.outline)))
            near.push_back(earlier.area);
    double free_m2 = 0;
    for (const Polygon& part : difference({{lot.outline}}, near))
        free_m2 += std::abs(signed_area_m2(part[0]));
    if (free_m2 > std::abs(signed_area_m2(lot.outline)) - overlap_m2)
        village.parcels.push_back({"private", {lot.outline}});
}

void settle_row(const RowPlan& row, Rng& rng, HouseNumbers& house_numbers,
                StructureNumbers& numbers, Community& village)
{
    for (const Lot& lot : lay_out(row, rng, house_numbers, village)) {
        claim_ground(lot, village);
        if (rng.chance(row.manner.vacant_chance))
            continue;
        const Homestead home = build_home(lot, row.manner, rng, numbers, village);
        if (home.has_house)
            plant_garden(lot, home, row.manner, rng, village);
    }
}

Fuel wild_cover(float wood, float stand, float gap, float ripple)
{
    if (wood + 0.1F * ripple < 0.45F)
        return gap + 0.2F * ripple > 0.8F ? shrub : grass;
    if (gap + 0.15F * ripple > 0.92F)
        return shrub;
    const float kind = stand + 0.12F * ripple;
    if (kind < 0.3F)
        return broadleaved;
    return kind < 0.42F ? mixed_stand : conifer_stand;
}

void move(Ring& ring, Point by)
{
    for (Point& p : ring)
        p = p + by;
}

void move(Polygon& polygon, Point by)
{
    for (Ring& ring : polygon)
        move(ring, by);
}

} // namespace

Community found_village(std::uint64_t seed, int number)
{
    Rng rng{mix(seed, static_cast<std::uint64_t>(number))};
    const Spine street = main_street(rng);
    const Manner manner = manner_of(rng);
    Community village;
    HouseNumbers house_numbers;
    StructureNumbers numbers{""};
    const std::string hamlet = "Hamlet " + std::to_string(number + 1) + " ";
    for (int row = 0; row < 4; ++row) {
        const double near_m = (row - 2) * row_depth_m;
        settle_row({.spine = &street,
                    .near_m = near_m,
                    .far_m = near_m + row_depth_m,
                    .near_street = hamlet + street_names[static_cast<std::size_t>(row)],
                    .far_street = hamlet + street_names[static_cast<std::size_t>(row) + 1],
                    .cuts = cross_streets(street.length_m(), rng),
                    .manner = manner},
                   rng, house_numbers, numbers, village);
    }
    return village;
}

void move(Community& community, Point by)
{
    for (Structure& structure : community.structures)
        for (Polygon& part : structure.parts)
            move(part, by);
    for (Address& address : community.addresses)
        address.place = address.place + by;
    for (Parcel& parcel : community.parcels)
        move(parcel.area, by);
    for (Paint& paint : community.paints) {
        move(paint.area, by);
        move(paint.line, by);
    }
}

void grow_wilderness(std::uint64_t seed, Canvas& canvas)
{
    const auto count = static_cast<std::size_t>(canvas.cols);
    std::vector<float> wood(count), stand(count), gap(count), ripple(count);
    for (int row = 0; row < canvas.rows; ++row) {
        const Point start = canvas.center(row, 0);
        const auto fill = [&](std::uint64_t index, double pitch_m, std::vector<float>& out) {
            noise_row(mix(seed, index), start.x / pitch_m, canvas.cell_m / pitch_m,
                      start.y / pitch_m, out);
        };
        fill(1001, 260, wood);
        fill(1002, 120, stand);
        fill(1003, 30, gap);
        fill(1004, 6, ripple);
        for (int col = 0; col < canvas.cols; ++col) {
            const auto i = static_cast<std::size_t>(col);
            canvas.at(row, col) = wild_cover(wood[i], stand[i], gap[i], ripple[i]);
        }
    }
}

} // namespace community
