// SPDX-License-Identifier: Apache-2.0

// Deliveries that the gate has to hold.
#include "gate_village.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace fuelring::test {

namespace {

using Act = std::function<void(Delivery&)>;

template <typename List>
Act keep_every(List Delivery::*list, std::size_t nth)
{
    return [=](Delivery& d) {
        List kept;
        for (std::size_t k = 0; k < (d.*list).size(); k += nth)
            kept.push_back((d.*list)[k]);
        d.*list = kept;
    };
}

Act move_all(std::vector<Plot> Delivery::*list, double east, double north)
{
    return [=](Delivery& d) {
        for (Plot& plot : d.*list)
            plot.move(east, north);
    };
}

Act move_addresses(double east, double north, std::size_t nth = 1)
{
    return [=](Delivery& d) {
        for (std::size_t k = 0; k < d.addresses.size(); k += nth) {
            d.addresses[k].x += east;
            d.addresses[k].y += north;
        }
    };
}

/// Another code in place of the one that stands there.
Act recode(std::function<int(double x, double y, int code)> change)
{
    return [change](Delivery& d) {
        d.ground = [change, before = d.ground](double x, double y) {
            return change(x, y, before(x, y));
        };
    };
}

Act reheight(std::function<double(double x, double y, double height)> change)
{
    return [change](Delivery& d) {
        d.heights.height_at = [change, before = d.heights.height_at](double x, double y) {
            return change(x, y, before(x, y));
        };
    };
}

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
constexpr double middle_x = 600300, middle_y = 5600300; // of the village

std::vector<BatteryCase> wrong_rasters()
{
    return {
        {"raster", "in the datum of the neighbouring survey, of another name",
         [](Delivery& d) { d.fuel.epsg = 26911; }},
        {"raster", "cells of twice the size",
         [](Delivery& d) {
             d.fuel.transform[1] *= 2;
             d.fuel.transform[5] *= 2;
             d.fuel.cols /= 2;
             d.fuel.rows /= 2;
         }},
        {"raster", "rows from south to north",
         [](Delivery& d) {
             d.fuel.transform[3] -= 2 * static_cast<double>(d.fuel.rows);
             d.fuel.transform[5] *= -1;
         }},
        {"raster", "shifted by half a cell: the centre taken for the corner",
         [](Delivery& d) { d.fuel.transform[0] += 1; }},
        {"raster", "shifted by six whole cells", [](Delivery& d) { d.fuel.transform[3] += 12; }},
        {"raster", "cut to half of the village", [](Delivery& d) { d.fuel.cols /= 2; }},
        {"raster", "another window that begins a third of a cell further",
         [](Delivery& d) {
             d.fuel.transform[0] += 2.0 / 3;
             --d.fuel.cols;
         }},
        {"ground", "a tile is missing", recode([](double x, double y, int code) {
             return x < middle_x && y < middle_y ? 0 : code;
         })},
        {"ground", "nothing but nodata",
         [](Delivery& d) {
             move_all(&Delivery::visits, 0, 270)(d); // what they found is known in any case
             d.ground = [](double, double) { return 0; };
         }},
        {"ground", "hedges are missing",
         recode([](auto, auto, int code) { return code == conifer ? grass : code; })},
        {"ground", "gardens taken for conifers", recode([](double x, auto, int code) {
             return code == grass && std::fmod(x, 10) < 2 ? conifer : code;
         })},
        {"ground", "conifers and grass changed places", recode([](auto, auto, int code) {
             return code == conifer ? grass : code == grass ? conifer : code;
         })},
        {"ground", "clouds over a fifth, taken for nodata",
         recode([](double x, auto, int code) { return std::fmod(x, 50) < 10 ? 0 : code; })},
        {"codes", "another legend: grass under the code of paved ground",
         recode([](auto, auto, int code) { return code == grass ? road : code; })},
        {"codes", "a flood: water on a sixth of the ground", recode([](double x, auto, int code) {
             return code == grass && std::fmod(x, 30) < 6 ? water : code;
         })},
    };
}

std::vector<BatteryCase> wrong_structures()
{
    return {
        {"structures", "every third house only", keep_every(&Delivery::houses, 3)},
        {"structures", "sheds among the houses: a fifth more",
         [](Delivery& d) {
             for (int k = 0; k < 13; ++k) {
                 Plot shed = d.houses[static_cast<std::size_t>(k)];
                 shed.text += "-S";
                 shed.move(0, 11);
                 shed.y1 -= 6;
                 d.houses.push_back(shed);
             }
         }},
        {"structures", "ids of another column",
         [](Delivery& d) {
             for (Plot& house : d.houses)
                 house.text = "X" + house.text;
         }},
        {"structures", "ids renumbered, the other way round",
         [](Delivery& d) {
             for (std::size_t k = 0; k < d.houses.size() / 2; ++k)
                 std::swap(d.houses[k].text, d.houses[d.houses.size() - 1 - k].text);
         }},
        {"structures", "shifted by 3 m", move_all(&Delivery::houses, 0, 3)},
        {"structures", "shifted by 116 m", move_all(&Delivery::houses, 80, 84)},
    };
}

std::vector<BatteryCase> wrong_addresses()
{
    return {
        {"addresses", "every second address lies 2 km off", move_addresses(2000, 0, 2)},
        {"addresses", "points 30 m to the east, at the neighbour's", move_addresses(30, 0)},
        {"addresses", "half of the file", keep_every(&Delivery::addresses, 2)},
        {"addresses", "one street is missing",
         [](Delivery& d) { d.addresses.resize(d.addresses.size() - 8); }},
        {"addresses", "the file is empty but for one", keep_every(&Delivery::addresses, 64)},
        {"addresses", "every address twice",
         [](Delivery& d) {
             const std::vector<Spot> once = d.addresses;
             d.addresses.insert(d.addresses.end(), once.begin(), once.end());
         }},
        {"addresses", "texts of another column",
         [](Delivery& d) {
             for (std::size_t k = 0; k < d.addresses.size(); ++k)
                 d.addresses[k].text = std::to_string(k);
         }},
    };
}

std::vector<BatteryCase> wrong_areas()
{
    return {
        {"neighbourhoods", "5 km off", move_all(&Delivery::neighbourhoods, 5000, 0)},
        {"neighbourhoods", "70 m to the east", move_all(&Delivery::neighbourhoods, 70, 0)},
        {"neighbourhoods", "names in another order",
         [](Delivery& d) {
             std::swap(d.neighbourhoods[0].text, d.neighbourhoods[1].text);
             std::swap(d.neighbourhoods[2].text, d.neighbourhoods[3].text);
         }},
        {"neighbourhoods", "one name for all",
         [](Delivery& d) {
             for (Plot& area : d.neighbourhoods)
                 area.text = "Alder";
         }},
        {"neighbourhoods", "names of another column",
         [](Delivery& d) {
             for (std::size_t k = 0; k < d.neighbourhoods.size(); ++k)
                 d.neighbourhoods[k].text = std::to_string(k);
         }},
        {"neighbourhoods", "one of four is missing",
         [](Delivery& d) { d.neighbourhoods.pop_back(); }},
        {"parcels", "shifted by 40 m to the east", move_all(&Delivery::parcels, 40, 0)},
        {"parcels", "shifted by 40 m to the north", move_all(&Delivery::parcels, 0, 40)},
        {"parcels", "shifted by 40 m across", move_all(&Delivery::parcels, -28.3, 28.3)},
        {"parcels", "shifted by 12 m", move_all(&Delivery::parcels, 12, 0)},
        {"parcels", "next to the village", move_all(&Delivery::parcels, 240, 0)},
        {"parcels", "half of the rows are missing",
         [](Delivery& d) { d.parcels.resize(d.parcels.size() / 2); }},
        {"parcels", "classes of owners of another column",
         [](Delivery& d) {
             for (Plot& parcel : d.parcels)
                 parcel.text = parcel.text == "private" ? "residential" : "public";
         }},
        {"corrections", "an emptied file of visits", [](Delivery& d) { d.visits.clear(); }},
        {"corrections", "the latest visit only", [](Delivery& d) { d.visits.resize(1); }},
    };
}

std::vector<BatteryCase> wrong_heights()
{
    return {
        {"heights", "in feet, as metres (times 3.28)",
         reheight([](auto, auto, double h) { return 3.2808 * h; })},
        {"heights", "in metres, as feet",
         reheight([](auto, auto, double h) { return 0.3048 * h; })},
        {"heights", "in decimetres", reheight([](auto, auto, double h) { return 10 * h; })},
        {"heights", "mirrored, west to east",
         [](Delivery& d) {
             d.heights.height_at = [before = d.heights.height_at](double x, double y) {
                 return before(2 * middle_x - x, y);
             };
         }},
        {"heights", "turned by half a circle",
         [](Delivery& d) {
             d.heights.height_at = [before = d.heights.height_at](double x, double y) {
                 return before(2 * middle_x - x, 2 * middle_y - y);
             };
         }},
        {"heights", "depths: another sign", reheight([](auto, auto, double h) { return -h; })},
        {"heights", "nothing but zero", reheight([](auto, auto, double) { return 0.0; })},
        {"heights", "void over half of the village",
         reheight([](double x, auto, double h) { return x > middle_x ? nan : h; })},
        {"heights", "shades of grey for a picture of the hill",
         reheight([](double x, double y, auto) {
             return std::round(127 + 100 * std::cos(x / 37) * std::cos(y / 53));
         })},
        {"heights", "slopes in degrees instead of heights", reheight([](double x, double y, auto) {
             return 11 + 4 * std::cos(x / 37) * std::sin(y / 53);
         })},
    };
}

} // namespace

std::vector<BatteryCase> wrong_deliveries()
{
    std::vector<BatteryCase> all;
    for (const auto& some :
         {wrong_rasters(), wrong_structures(), wrong_addresses(), wrong_areas(), wrong_heights()})
        all.insert(all.end(), some.begin(), some.end());
    return all;
}

} // namespace fuelring::test
