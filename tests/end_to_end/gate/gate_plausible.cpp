// SPDX-License-Identifier: Apache-2.0

// Deliveries that a gate has to let pass.
#include "gate_village.hpp"

#include <algorithm>
#include <cmath>

namespace fuelring::test {

namespace {

Plot house_at(const std::string& id, double x, double y)
{
    return {id, x, y, x + 12, y + 10};
}

/// Another code on some ground.
std::function<void(Delivery&)> paint(std::function<int(double x, double y, int code)> change)
{
    return [change](Delivery& d) {
        d.ground = [change, before = d.ground](double x, double y) {
            return change(x, y, before(x, y));
        };
    };
}

std::function<void(Delivery&)> deliver_as(const std::string& layer, Delivery::Form form)
{
    return [=](Delivery& d) { d.forms[layer] = form; };
}

void build_three(Delivery& d)
{
    for (int k = 0; k < 3; ++k)
        d.houses.push_back(house_at("N-" + std::to_string(k), west - 20, south + 40 + 60 * k));
}

void split_parcel(Delivery& d, std::size_t k)
{
    Plot& parcel = d.parcels[k];
    Plot other = parcel;
    parcel.y0 = other.y1 = parcel.y0 + 2;
    d.parcels.push_back(other);
}

std::vector<BatteryCase> plausible_structures()
{
    return {
        {"structures", "the same, in another order",
         [](Delivery& d) { std::reverse(d.houses.begin(), d.houses.end()); }},
        {"structures", "the same as FlatGeobuf",
         deliver_as("structures", {"FlatGeobuf", ".fgb", 32611})},
        {"structures", "the same as GeoJSON in degrees",
         deliver_as("structures", {"GeoJSON", ".geojson", 4326})},
        {"structures", "the same in the neighbouring zone",
         deliver_as("structures", {"GPKG", ".gpkg", 32612})},
        {"structures", "three houses were built", build_three},
        {"structures", "two houses were demolished",
         [](Delivery& d) {
             d.houses.erase(d.houses.begin() + 9);
             d.houses.erase(d.houses.begin() + 40);
         }},
        {"structures", "five houses were extended",
         [](Delivery& d) {
             for (std::size_t k = 0; k < 5; ++k)
                 d.houses[7 * k].y1 += 4;
         }},
        {"structures", "outlines were redrawn, each off by half a metre its own way",
         [](Delivery& d) {
             for (std::size_t k = 0; k < d.houses.size(); ++k)
                 d.houses[k].move(k % 2 == 0 ? 0.5 : -0.4, k % 3 == 0 ? 0.3 : -0.2);
         }},
        {"structures", "a house was rebuilt under a new id",
         [](Delivery& d) { d.houses[20] = house_at("N-1", d.houses[20].x0, d.houses[20].y0 + 1); }},
        {"structures", "a street of houses was redrawn, shifted by 1 m",
         [](Delivery& d) {
             for (std::size_t k = 0; k < 8; ++k)
                 d.houses[k].move(1, 0);
         }},
    };
}

std::vector<BatteryCase> plausible_addresses()
{
    return {
        {"addresses", "a second flat in every fourth house",
         [](Delivery& d) {
             for (std::size_t k = 0; k < 64; k += 4)
                 d.addresses.push_back(
                     {d.addresses[k].text + " B", d.addresses[k].x, d.addresses[k].y});
         }},
        {"addresses", "two addresses are missing", [](Delivery& d) { d.addresses.resize(62); }},
        {"addresses", "a street was renamed",
         [](Delivery& d) {
             for (std::size_t k = 16; k < 24; ++k)
                 d.addresses[k].text = "Summit Road " + std::to_string(k - 15);
         }},
        {"addresses", "points moved to the doors, by 6 m",
         [](Delivery& d) {
             for (Spot& a : d.addresses)
                 a.y -= 6;
         }},
        {"addresses", "the same, in another order",
         [](Delivery& d) { std::reverse(d.addresses.begin(), d.addresses.end()); }},
        {"addresses", "the same as GeoJSON in degrees",
         deliver_as("addresses", {"GeoJSON", ".geojson", 4326})},
        {"addresses", "two new ones for houses that are not yet drawn",
         [](Delivery& d) {
             d.addresses.push_back({"Meadow End 1", west - 100, south + 300});
             d.addresses.push_back({"Meadow End 2", west - 100, south + 330});
         }},
    };
}

std::vector<BatteryCase> plausible_areas()
{
    return {
        {"neighbourhoods", "one was split in two, one half under a new name",
         [](Delivery& d) {
             Plot half = d.neighbourhoods[1];
             d.neighbourhoods[1].x1 = half.x0 = half.x0 + 60;
             half.text = "Elm";
             d.neighbourhoods.push_back(half);
         }},
        {"neighbourhoods", "one was renamed",
         [](Delivery& d) { d.neighbourhoods[2].text = "Upper Cedar"; }},
        {"neighbourhoods", "two became one",
         [](Delivery& d) { d.neighbourhoods[3].text = "Cedar"; }},
        {"neighbourhoods", "a row of houses came to the next one",
         [](Delivery& d) { d.neighbourhoods[0].y1 = d.neighbourhoods[2].y0 += 30; }},
        {"neighbourhoods", "drawn further out",
         [](Delivery& d) {
             d.neighbourhoods[0].x0 -= 100;
             d.neighbourhoods[3].x1 += 100;
         }},
        {"neighbourhoods", "the same as GeoJSON in degrees",
         deliver_as("neighbourhoods", {"GeoJSON", ".geojson", 4326})},
        {"neighbourhoods", "one more, outside",
         [](Delivery& d) {
             d.neighbourhoods.push_back({"Farms", west - 200, south, west - 100, south + 200});
         }},
        {"parcels", "ten were split next to the houses",
         [](Delivery& d) {
             for (std::size_t k = 0; k < 10; ++k)
                 split_parcel(d, 6 * k);
         }},
        {"parcels", "two became one",
         [](Delivery& d) {
             d.parcels[0].x1 = d.parcels[1].x1;
             d.parcels.erase(d.parcels.begin() + 1);
         }},
        {"parcels", "the town bought three",
         [](Delivery& d) {
             for (std::size_t k = 0; k < 3; ++k)
                 d.parcels[10 + k].text = "municipal";
         }},
        {"parcels", "the same in the neighbouring zone",
         deliver_as("parcels", {"GPKG", ".gpkg", 32612})},
        {"parcels", "surveyed again, 0.3 m off",
         [](Delivery& d) {
             for (Plot& parcel : d.parcels)
                 parcel.move(0.3, -0.2);
         }},
        {"parcels", "fields around the village came in, the crown's",
         [](Delivery& d) {
             d.parcels.push_back({"crown", west - 300, south, west, south + 240});
         }},
        {"corrections", "three more visits",
         [](Delivery& d) {
             for (int k = 0; k < 3; ++k)
                 d.visits.push_back(
                     {"", west + 60 + 2 * k, south + 100, west + 62 + 2 * k, south + 102});
         }},
        {"corrections", "two visits retired, since the imagery agrees",
         [](Delivery& d) { d.visits.resize(4); }},
    };
}

std::vector<BatteryCase> plausible_rasters()
{
    return {
        {"raster", "grown by 20 columns that no ring reaches",
         [](Delivery& d) { d.fuel.cols += 20; }},
        {"raster", "grown to the west and the north",
         [](Delivery& d) {
             d.fuel.transform[0] -= 40;
             d.fuel.transform[3] += 60;
             d.fuel.cols += 20;
             d.fuel.rows += 30;
         }},
        {"raster", "cut by 10 columns that no ring reaches",
         [](Delivery& d) { d.fuel.cols -= 10; }},
        {"raster", "another window around the village",
         [](Delivery& d) {
             d.fuel.transform[0] += 20;
             d.fuel.cols -= 15;
             d.fuel.rows += 4;
         }},
        {"ground", "a strip along one street was treated", paint([](double, double y, int code) {
             return code == conifer && y > south + 30 && y < south + 60 ? grass : code;
         })},
        {"ground", "the wood beyond the last street was thinned",
         paint([](double x, double y, int code) {
             return code == conifer && y > south + 260 && x < west + 20 ? grass : code;
         })},
        {"ground", "another season: 3% of the grass reads as mixed",
         paint([](double x, double y, int code) {
             return code == grass && std::fmod(x + 7 * y, 100) < 3 ? mixed : code;
         })},
        {"ground", "hedges grew by 1% of the ground", paint([](double x, double y, int code) {
             return code == grass && std::fmod(x - west + 600, 60) < 4 && std::fmod(y, 40) < 8
                        ? conifer
                        : code;
         })},
        {"ground", "a cloud over 2%", paint([](double x, double y, int code) {
             return x < west + 40 && y < south + 30 ? no_data : code;
         })},
        {"ground", "nodata beyond the rings",
         paint([](double x, double, int code) { return x < west - 50 ? no_data : code; })},
        {"codes", "a pond: a new code on 1%", paint([](double x, double y, int code) {
             return code == grass && x > west + 100 && x < west + 120 && y < south + 30 ? water
                                                                                        : code;
         })},
        {"codes", "a code that no longer occurs",
         paint([](auto, auto, int code) { return code == mixed ? grass : code; })},
    };
}

std::vector<BatteryCase> plausible_heights()
{
    const auto finer = [](double factor) {
        return [factor](Delivery& d) {
            d.heights.transform[1] /= factor;
            d.heights.transform[5] /= factor;
            d.heights.cols = std::llround(static_cast<double>(d.heights.cols) * factor);
            d.heights.rows = std::llround(static_cast<double>(d.heights.rows) * factor);
        };
    };
    return {
        {"heights", "cells of half the size", finer(2)},
        {"heights", "cells of twice the size", finer(0.5)},
        {"heights", "measured again, 0.5 m off here and there",
         [](Delivery& d) {
             d.heights.height_at = [before = d.heights.height_at](double x, double y) {
                 return before(x, y) + 0.5 * std::sin(x * 1.7) * std::cos(y * 2.3);
             };
         }},
        {"heights", "above another datum, 48 m up",
         [](Delivery& d) {
             d.heights.height_at = [before = d.heights.height_at](double x, double y) {
                 return before(x, y) + 48;
             };
         }},
        {"heights", "in feet, and the file says so",
         [](Delivery& d) {
             d.heights.unit = "foot";
             d.heights.height_at = [before = d.heights.height_at](double x, double y) {
                 return before(x, y) / 0.3048;
             };
         }},
        {"heights", "a larger extent",
         [](Delivery& d) {
             d.heights.transform[0] -= 200;
             d.heights.cols += 40;
         }},
    };
}

std::vector<BatteryCase> plausible_years()
{
    return {{"structures", "a year's changes of all layers together", [](Delivery& d) {
                 build_three(d);
                 d.addresses.push_back({"Meadow End 1", west - 15, south + 45});
                 d.neighbourhoods[0].text = "Old Town";
                 split_parcel(d, 12);
                 d.visits.pop_back();
                 paint([](double, double y, int code) {
                     return code == conifer && y > south + 30 && y < south + 60 ? grass : code;
                 })(d);
             }}};
}

} // namespace

std::vector<BatteryCase> plausible_deliveries()
{
    std::vector<BatteryCase> all;
    for (const auto& some : {plausible_structures(), plausible_addresses(), plausible_areas(),
                             plausible_rasters(), plausible_heights(), plausible_years()})
        all.insert(all.end(), some.begin(), some.end());
    return all;
}

} // namespace fuelring::test
