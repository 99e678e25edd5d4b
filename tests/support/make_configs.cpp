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
    config("community", "name") = toml_text("Tamarack Bend");
    config("inputs.structures", "path") = toml_text(data / "structures.gpkg");
    config("inputs.structures", "id") = toml_text("structure_id");
    config("inputs.fuel", "path") = toml_text(data / "fuel.tif");
    config("inputs.fuel", "classes") =
        toml_text(source_folder / "config/fuel-classes/tamarack_bend.csv");
    config("inputs.addresses", "path") = toml_text(data / "addresses.gpkg");
    config("inputs.addresses", "text") = toml_text("text");
    config("inputs.addresses", "join_within_m") = "25";
    config("output", "dir") = toml_text("out");
    config("gate", "on") = "false"; // tests map one scene after the other into the same folder
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

std::string toml_text(const fs::path& text)
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
    config("inputs.fuel", "date") = toml_text("2024-07-15");
    config("inputs.elevation", "path") = toml_text(data / "elevation.tif");
    config("inputs.neighbourhoods", "path") = toml_text(data / "neighbourhoods.gpkg");
    config("inputs.neighbourhoods", "name") = toml_text("name");
    return config;
}

ConfigFile hamlet_config(const fs::path& folder)
{
    return bare_config(folder);
}

const std::array<House, 4> hamlet_houses{{{"A-1", 600104.25, 5600140, 600116.5, 5600152},
                                          {"A-2", 600130, 5600150, 600140, 5600159.75},
                                          {"A-3", 600160, 5600150, 600171, 5600160},
                                          {"A-4", 600180, 5600150, 600190, 5600160}}};

void make_hamlet(const fs::path& folder)
{
    make_fuel(folder / "fuel.tif", {hamlet_cells, hamlet_cells, hamlet_transform, 32611,
                                    [](std::int64_t, std::int64_t col) {
                                        return col < hamlet_mixed_col   ? conifer
                                               : col < hamlet_grass_col ? mixed
                                               : col < hamlet_gap_col   ? grass
                                                                        : no_data;
                                    }});
    std::vector<Shape> shapes{{"A-5", rectangle_wkt(600900, 5600150, 600910, 5600160)}};
    for (const House& house : hamlet_houses)
        shapes.push_back({house.id, rectangle_wkt(house.x0, house.y0, house.x1, house.y1)});
    make_layer(folder / "structures.gpkg", "GPKG", "structure_id", 32611, shapes);
    make_layer(folder / "addresses.gpkg", "GPKG", "text", 32611,
               {{"Larch Way 2, flat B", "POINT (600110 5600145)"},
                {"Larch Way 2, flat A", "POINT (600111 5600145)"},
                {"=HYPERLINK(\"x\")", "POINT (600135 5600155)"},
                {"Fir Lane 9 \"The Nook\"", "POINT (600165 5600149)"},
                {"Far Road 1", "POINT (600020 5600020)"}});
}

} // namespace fuelring::test
