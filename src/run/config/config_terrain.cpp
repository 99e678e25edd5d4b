// SPDX-License-Identifier: Apache-2.0
#include "run/config/config_terrain.hpp"

#include "io/raster/height_unit.hpp"

#include <fmt/format.h>

namespace fuelring {

namespace {

std::optional<HeightUnit> height_unit(const ConfigTable& elevation)
{
    if (!elevation.has("unit"))
        return std::nullopt;
    const std::string text = elevation.required_text("unit");
    const std::optional<HeightUnit> unit = height_unit_of_key(text);
    if (!unit)
        throw elevation.wrong("unit", fmt::format("'{}' is not a height unit", text),
                              "write \"m\", \"ft\" or \"us-ft\"");
    return unit;
}

double factor(const ConfigTable& row, std::string_view key)
{
    const double value = row.number(key).value_or(1);
    if (value < 1 || value > largest_stretch)
        throw row.wrong(
            key, fmt::format("a ring factor of {} is out of range", value),
            fmt::format("factors are 1 to {}: rings never shrink on a slope", largest_stretch));
    return value;
}

StretchRow stretch_row(const ConfigTable& row)
{
    constexpr double upright_deg = 90;
    const std::optional<double> slope_deg = row.number("slope_deg");
    if (!slope_deg)
        throw row.wrong("slope_deg", "the key is missing: the slope of the row, in degrees");
    if (*slope_deg < 0 || *slope_deg >= upright_deg)
        throw row.wrong("slope_deg",
                        fmt::format("a slope of {} degrees is out of range", *slope_deg),
                        "slopes are 0 or more and below 90");
    return {*slope_deg, factor(row, "down"), factor(row, "across")};
}

} // namespace

void read_elevation(const ConfigTable& inputs, Config& config)
{
    if (const auto t = inputs.table("elevation"))
        config.elevation =
            ElevationSource{.path = t->required_path("path"),
                            .band = static_cast<int>(t->whole("band", 1, 1000).value_or(1)),
                            .crs = t->text("crs"),
                            .unit = height_unit(*t)};
}

void read_terrain(const ConfigTable& root, Config& config)
{
    const auto terrain = root.table("terrain");
    if (!terrain)
        return;
    if (!config.elevation)
        throw root.wrong("terrain", "rings cannot follow slopes without heights",
                         "name a raster in [inputs.elevation], or delete this table");
    const auto rows = terrain->tables("factors");
    if (!rows)
        return;
    config.stretch.rows.clear();
    for (const ConfigTable& row : *rows) {
        const StretchRow next = stretch_row(row);
        if (!config.stretch.rows.empty() && next.slope_deg <= config.stretch.rows.back().slope_deg)
            throw row.wrong("slope_deg",
                            fmt::format("{} does not rise above {}", next.slope_deg,
                                        config.stretch.rows.back().slope_deg),
                            "list the rows from gentle to steep, each slope once");
        config.stretch.rows.push_back(next);
    }
}

} // namespace fuelring
