// SPDX-License-Identifier: Apache-2.0
#include "support/make_inputs.hpp"
#include "support/temp_folder.hpp"

#include <fmt/format.h>

namespace fuelring::test {

namespace {

const fs::path source_folder{FUELRING_SOURCE_DIR};

ConfigFile bare_config(const fs::path& data)
{
    ConfigFile config;
    config("community", "name") = quoted("Tamarack Bend");
    config("inputs.structures", "path") = quoted(data / "structures.gpkg");
    config("inputs.structures", "id") = quoted("structure_id");
    config("inputs.fuel", "path") = quoted(data / "fuel.tif");
    config("inputs.fuel", "classes") =
        quoted(source_folder / "config/fuel-classes/tamarack_bend.csv");
    config("inputs.addresses", "path") = quoted(data / "addresses.gpkg");
    config("inputs.addresses", "text") = quoted("text");
    config("inputs.addresses", "join_within_m") = "25";
    config("output", "dir") = quoted("out");
    return config;
}

} // namespace

void ConfigFile::write(const fs::path& file) const
{
    std::string text;
    for (const auto& [table, keys] : tables) {
        text += "[" + table + "]\n";
        for (const auto& [key, value] : keys)
            text += key + " = " + value + "\n";
    }
    write_text(file, text);
}

std::string quoted(const fs::path& text)
{
    return fmt::format("'{}'", text.string());
}

fs::path sample_data()
{
    return source_folder / "sample_data";
}

ConfigFile sample_config(const fs::path& data)
{
    ConfigFile config = bare_config(data);
    config("inputs.structures", "min_area_m2") = "15";
    config("inputs.fuel", "date") = quoted("2024-07-15");
    config("inputs.neighbourhoods", "path") = quoted(data / "neighbourhoods.gpkg");
    config("inputs.neighbourhoods", "name") = quoted("name");
    return config;
}

ConfigFile hamlet_config(const fs::path& folder)
{
    return bare_config(folder);
}

void make_hamlet(const fs::path& folder)
{
    // Conifers in the west, a mixed strip, lawn, and a gap in the imagery at the eastern edge.
    make_fuel(folder / "fuel.tif",
              {300, 300, {600000, 1, 0, 5600300, 0, -1}, 32611, [](std::int64_t, std::int64_t col) {
                   return col < 100 ? conifer : col < 110 ? mixed : col < 280 ? grass : no_data;
               }});
    make_layer(folder / "structures.gpkg", "GPKG", "structure_id", 32611,
               {{"A-1", rectangle_wkt(600104.25, 5600140, 600116.5, 5600152)},
                {"A-2", rectangle_wkt(600130, 5600150, 600140, 5600159.75)},
                {"A-3", rectangle_wkt(600160, 5600150, 600171, 5600160)},
                {"A-4", rectangle_wkt(600180, 5600150, 600190, 5600160)}});
    make_layer(folder / "addresses.gpkg", "GPKG", "text", 32611,
               {{"Larch Way 2, flat B", "POINT (600110 5600145)"},
                {"Larch Way 2, flat A", "POINT (600111 5600145)"},
                {"=HYPERLINK(\"x\")", "POINT (600135 5600155)"},
                {"Fir Lane 9 \"The Nook\"", "POINT (600165 5600149)"},
                {"Far Road 1", "POINT (600020 5600020)"}});
}

} // namespace fuelring::test
