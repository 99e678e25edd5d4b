// SPDX-License-Identifier: Apache-2.0

// Pairs of runs to compare, each with its own fuel and structures.
#pragma once

#include "support/hamlet.hpp"
#include "support/read_outputs.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <string>
#include <vector>

namespace fuelring::test {

inline constexpr double scene_x = 600000;
inline constexpr double scene_y = 5600000;
inline constexpr double scene_half_m = 200;

/// What one run sees: 400 x 400 m about (600000, 5600000), in any cell size and with any corner.
struct Scene {
    std::vector<Shape> structures;
    /// Code at a place, metres from (600000, 5600000).
    std::function<int(double x, double y)> code_at;
    double cell_m = 1;
    double shift_x_m = 0; ///< of the raster's corner
    double shift_y_m = 0;
    int epsg = 32611;
    bool south_up = false;
    std::vector<Shape> parcels{}; ///< by class of owner
    std::string rings{};          ///< outer_m as TOML has it; empty: the usual ones
    std::string weight{};
    double origin_x = scene_x; ///< instead of 600000, 5600000, for the raster
    double origin_y = scene_y;
    std::string date{}; ///< of the imagery
    fs::path logo{};    ///< for the sheets
    fs::path backdrop{};
    std::vector<std::pair<fs::path, std::string>> context{}; ///< files and kinds
};

/// A folder of runs and comparisons.
class ChangeRuns {
public:
    fs::path path(const std::string& name) const { return folder_.path() / name; }

    /// Maps a scene into a folder of that name.
    void map(const std::string& name, const Scene& scene) const
    {
        const fs::path inputs = path(name + "_inputs");
        fs::create_directory(inputs);
        const auto cells = static_cast<std::int64_t>(2 * scene_half_m / scene.cell_m);
        const double x0 = -scene_half_m + scene.shift_x_m;
        const double y0 = (scene.south_up ? -scene_half_m : scene_half_m) + scene.shift_y_m;
        const double dy = scene.south_up ? scene.cell_m : -scene.cell_m;
        make_fuel(inputs / "fuel.tif",
                  {cells,
                   cells,
                   {scene.origin_x + x0, scene.cell_m, 0, scene.origin_y + y0, 0, dy},
                   scene.epsg,
                   [&](std::int64_t row, std::int64_t col) {
                       return scene.code_at(x0 + (static_cast<double>(col) + 0.5) * scene.cell_m,
                                            y0 + (static_cast<double>(row) + 0.5) * dy);
                   }});
        make_layer(inputs / "structures.gpkg", "GPKG", "structure_id", scene.epsg,
                   scene.structures);
        ConfigFile config = hamlet_config(inputs);
        config.tables.erase("inputs.addresses");
        if (!scene.parcels.empty()) {
            make_layer(inputs / "parcels.gpkg", "GPKG", "owner", scene.epsg, scene.parcels);
            config("inputs.parcels", "path") = toml_text(inputs / "parcels.gpkg");
            config("inputs.parcels", "owner") = toml_text("owner");
        }
        if (!scene.date.empty())
            config("inputs.fuel", "date") = toml_text(scene.date);
        if (!scene.logo.empty())
            config("report", "logo") = toml_text(scene.logo);
        if (!scene.backdrop.empty()) {
            config("report", "backdrop") = toml_text(scene.backdrop);
            config("report", "credit") = "'Photograph: the town <2025>'";
        }
        std::string tables;
        for (const auto& [file, kind] : scene.context)
            tables += fmt::format("{}{{ path = {}, kind = '{}', credit = 'Lines: the town' }}",
                                  tables.empty() ? "" : ", ", toml_text(file), kind);
        if (!tables.empty())
            config("report", "context") = "[" + tables + "]";
        if (!scene.rings.empty())
            config("rings", "outer_m") = scene.rings;
        if (!scene.weight.empty())
            config("rings", "weight") = scene.weight;
        map(name, config);
    }

    void map(const std::string& name, const ConfigFile& config) const
    {
        config.write(path(name + ".toml"));
        must_succeed(run_fuelring({"map", path(name + ".toml"), "--out", path(name), "--quiet"}));
    }

    ProgramResult change(const std::string& before, const std::string& after,
                         const std::string& out, std::vector<std::string> more = {}) const
    {
        more.insert(more.begin(), {"change", path(before), path(after), "--out", path(out)});
        return run_fuelring(more);
    }

    /// The same, which must succeed; the folder of the outputs.
    fs::path changed(const std::string& before, const std::string& after, const std::string& out,
                     const std::vector<std::string>& more = {}) const
    {
        must_succeed(change(before, after, out, more));
        return path(out);
    }

private:
    TempFolder folder_;
};

/// Full doubles of one row of the change table, hectares.
inline double change_ha(const fs::path& out, const std::string& column, const std::string& distance,
                        const std::string& scope = "community")
{
    return sql_number(out / "change.gpkg",
                      fmt::format("select \"{}\" from change_areas where scope = '{}' and "
                                  "distance = '{}'",
                                  column, scope, distance));
}

/// A rectangle by corners in metres from (600000, 5600000).
inline Shape ground(const std::string& text, double x0, double y0, double x1, double y1)
{
    return {text, rectangle_wkt(scene_x + x0, scene_y + y0, scene_x + x1, scene_y + y1)};
}

/// A square house of 12 m about a place, metres from (600000, 5600000).
inline Shape square_house(const std::string& id, double x, double y, double side_m = 12)
{
    return {id, rectangle_wkt(scene_x + x - side_m / 2, scene_y + y - side_m / 2,
                              scene_x + x + side_m / 2, scene_y + y + side_m / 2)};
}

inline double exposure_sum(const fs::path& run)
{
    return sql_number(run / "fuelring.gpkg", "select sum(exposure) from structures");
}

inline double by_fuel_sum(const fs::path& out)
{
    return sql_number(out / "change.gpkg", "select sum(change_by_fuel) from change_structures");
}

} // namespace fuelring::test
