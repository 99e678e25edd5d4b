// SPDX-License-Identifier: Apache-2.0
#include "gate_village.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <cmath>

namespace fuelring::test {

namespace {

constexpr int side = 8;

/// Where a house stands on its parcel, 3 to 14 m from the west and the south.
double set_back(int k, int by)
{
    return 3 + (k * by) % 12;
}

std::string street(int row)
{
    static constexpr const char* names[] = {"Larch Way",  "Fir Lane",   "Hill Road",  "Mill Road",
                                            "Ridge Road", "Creek Lane", "Field Lane", "Bridge Way"};
    return names[row];
}

int ground_at(double x, double y)
{
    const double col = x - west, row = y - south;
    if (col < -60)
        return mixed;
    if (std::fmod(row + 600, 60) < 4)
        return 7; // streets between every other row
    const bool hedge = std::fmod(col + 600, step) < 2 && std::fmod(row + 600, 60) > 30;
    return hedge || (row > side * step + 20 && col < 60) ? conifer : grass;
}

double height_at(double x, double y)
{
    return 700 + 0.2 * (x - west) + 0.06 * (y - south) + 3 * std::sin(x / 37) * std::cos(y / 53);
}

std::string wkt_of(const Plot& p)
{
    return rectangle_wkt(p.x0, p.y0, p.x1, p.y1);
}

std::vector<Shape> shapes_of(const std::vector<Plot>& plots)
{
    std::vector<Shape> shapes;
    for (const Plot& p : plots)
        shapes.push_back({p.text, wkt_of(p)});
    return shapes;
}

} // namespace

void Plot::move(double east, double north)
{
    x0 += east;
    x1 += east;
    y0 += north;
    y1 += north;
}

Delivery::Delivery()
    : fuel{200, 200, {west - 80, 2, 0, south + 320, 0, -2}, 32611, {}}, ground{ground_at},
      heights{60, 60, {west - 180, 10, 0, south + 420, 0, -10}, 32611, height_at}
{
    for (int k = 0; k < side * side; ++k) {
        const double x = west + step * (k % side), y = south + step * (k / side);
        const double house_x = x + set_back(k, 7), house_y = y + set_back(k, 5);
        const std::string id = fmt::format("H-{:02}", k);
        houses.push_back({id, house_x, house_y, house_x + 12, house_y + 10});
        addresses.push_back(
            {fmt::format("{} {}", street(k / side), 1 + k % side), house_x + 6, house_y + 5});
        parcels.push_back({k % 9 == 4 ? "municipal" : "private", x, y, x + step, y + step});
    }
    const double half = side / 2 * step;
    for (const auto& [name, col, row] : {std::tuple{"Alder", 0, 0}, std::tuple{"Birch", 1, 0},
                                         std::tuple{"Cedar", 0, 1}, std::tuple{"Dogwood", 1, 1}})
        neighbourhoods.push_back({name, west + col * half, south + row * half,
                                  west + (col + 1) * half, south + (row + 1) * half});
    for (int k = 0; k < 6; ++k) {
        const double x = west + step * k;
        visits.push_back({"", x, south + 34, x + 2, south + 36});
    }
}

Village::Village() : config_{hamlet_config(folder_.path())}
{
    ConfigFile& config = config_;
    config.tables.erase("gate");
    config("inputs.neighbourhoods", "name") = toml_text("name");
    config("inputs.parcels", "owner") = toml_text("owner");
    config("inputs.elevation", "path") = toml_text(folder_.path() / "heights.tif");
    config("inputs.corrections", "path") = toml_text(folder_.path() / "visits.csv");
    config("inputs.corrections", "crs") = toml_text("EPSG:32611");
    config("rings", "outer_m") = "[1.5, 10, 30]";
    config("rings", "weight") = "[1, 1, 1]";
    config("terrain", "factors") = "[]";
    write(Delivery{});
    must_succeed(run_fuelring(
        {"map", folder_.path() / "run.toml", "--jobs", "1", "--out", folder_.path() / "good"}));
}

ProgramResult Village::map(const Delivery& delivery)
{
    write(delivery);
    fs::remove_all(out());
    fs::copy(folder_.path() / "good", out());
    return run_fuelring({"map", folder_.path() / "run.toml", "--jobs", "1"});
}

void Village::write_layer(const Delivery& delivery, const std::string& name,
                          const std::string& column, const std::vector<Shape>& shapes)
{
    const fs::path plain = folder_.path() / (name + ".gpkg");
    fs::remove(plain);
    make_layer(plain, "GPKG", column, 32611, shapes);
    fs::path file = plain;
    if (const auto form = delivery.forms.find(name); form != delivery.forms.end()) {
        file = folder_.path() / ("other_" + name + form->second.extension);
        fs::remove(file);
        reproject_layer(plain, file, form->second.driver.c_str(), form->second.epsg);
    }
    config_("inputs." + name, "path") = toml_text(file);
}

void Village::write(const Delivery& delivery)
{
    write_layer(delivery, "structures", "structure_id", shapes_of(delivery.houses));
    std::vector<Shape> points;
    for (const Spot& a : delivery.addresses)
        points.push_back({a.text, fmt::format("POINT ({} {})", a.x, a.y)});
    write_layer(delivery, "addresses", "text", points);
    write_layer(delivery, "neighbourhoods", "name", shapes_of(delivery.neighbourhoods));
    write_layer(delivery, "parcels", "owner", shapes_of(delivery.parcels));
    std::string visits = "kind,structure_id,group,date,initials,wkt\n";
    for (const Plot& v : delivery.visits)
        visits += fmt::format("not_conifer,,grass,2026-05-31,AB,\"{}\"\n", wkt_of(v));
    write_text(folder_.path() / "visits.csv", visits);
    FuelFile fuel = delivery.fuel;
    const auto g = fuel.transform;
    fuel.code_at = [&](std::int64_t row, std::int64_t col) {
        return delivery.ground(g[0] + g[1] * (static_cast<double>(col) + 0.5),
                               g[3] + g[5] * (static_cast<double>(row) + 0.5));
    };
    fs::remove(folder_.path() / "fuel.tif");
    make_fuel(folder_.path() / "fuel.tif", fuel);
    fs::remove(folder_.path() / "heights.tif");
    make_elevation(folder_.path() / "heights.tif", delivery.heights);
    config_.write(folder_.path() / "run.toml");
}

} // namespace fuelring::test
