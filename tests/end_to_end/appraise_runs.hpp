// SPDX-License-Identifier: Apache-2.0
#pragma once

// Appraisals on made ground: 240 x 240 m of conifers in any share, houses, drawn rectangles.
#include "support/make_inputs.hpp"
#include "support/read_outputs.hpp"
#include "support/run_program.hpp"
#include "support/temp_folder.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <map>
#include <string>
#include <vector>

namespace fuelring::test {

inline constexpr double plot_x = 600000, plot_y = 5600000; ///< lower left corner
inline constexpr std::int64_t plot_cells = 240;            ///< of 1 m
inline constexpr int unknown_cover = 255;

/// A drawn rectangle by corners in metres from the lower left corner of the plot.
struct Drawn {
    std::string project;
    double leaves;
    double x0, y0, x1, y1;
    std::string more{}; ///< further properties, as JSON: ,"cost":300

    /// Area inside a cell by its column and its row from the south, and so for two rectangles.
    double in_cell(std::int64_t col, std::int64_t south_row) const
    {
        const auto c = static_cast<double>(col);
        const auto r = static_cast<double>(south_row);
        return std::max(0.0, std::min(x1, c + 1) - std::max(x0, c)) *
               std::max(0.0, std::min(y1, r + 1) - std::max(y0, r));
    }
    Drawn and_also(const Drawn& other) const
    {
        return {project,
                leaves,
                std::max(x0, other.x0),
                std::max(y0, other.y0),
                std::min(x1, other.x1),
                std::min(y1, other.y1)};
    }
    double area_m2() const { return std::max(0.0, x1 - x0) * std::max(0.0, y1 - y0); }
    std::string ring() const
    {
        const auto at = [](double x, double y) {
            return fmt::format("[{:.4f},{:.4f}]", plot_x + x, plot_y + y);
        };
        return fmt::format("[[{},{},{},{},{}]]", at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1),
                           at(x0, y0));
    }
};

/// GeoJSON in UTM 11N with columns project and leaves.
inline void write_projects(const fs::path& file, const std::vector<Drawn>& projects)
{
    std::string features;
    for (const Drawn& d : projects)
        features +=
            fmt::format(R"({}{{"type":"Feature","properties":{{"project":"{}","leaves":{}{}}},)"
                        R"("geometry":{{"type":"Polygon","coordinates":{}}}}})",
                        features.empty() ? "" : ",", d.project, d.leaves, d.more, d.ring());
    write_text(file, R"({"type":"FeatureCollection","crs":{"type":"name","properties":)"
                     R"({"name":"urn:ogc:def:crs:EPSG::32611"}},"features":[)" +
                         features + "]}");
}

/// A plot with five houses. Code k + 1 of its raster is a stand with k per cent of conifers: 0 is
/// what make_fuel has for nodata.
class Plot {
    TempFolder folder_;

public:
    ConfigFile config;

    Plot()
    {
        std::string classes = "code,label,group,conifer_share,source\r\n";
        for (int k = 0; k <= 100; ++k)
            classes += fmt::format("{},share {},{},{:.2f},test\r\n", k + 1, k,
                                   k == 0     ? "grass"
                                   : k == 100 ? "conifer"
                                              : "mixed",
                                   k / 100.0);
        classes += fmt::format("{},unknown,unmapped,0,test\r\n", unknown_cover);
        write_text(path("classes.csv"), classes);
        make_fuel_of("fuel.tif",
                     [](std::int64_t col, std::int64_t row) { return share_at(col, row); });
        make_layer(path("structures.gpkg"), "GPKG", "structure_id", 32611,
                   {house("H1", 60, 120), house("H2", 85.3, 118.6), house("H3", 150.5, 60.25),
                    house("H4", 158, 66), house("H5", 40, 40)});
        make_layer(
            path("parcels.gpkg"), "GPKG", "owner", 32611,
            {{"Private", rectangle_wkt(plot_x, plot_y, plot_x + 100, plot_y + 240)},
             {"Crown land", rectangle_wkt(plot_x + 100, plot_y, plot_x + 180, plot_y + 240)}});
        make_layer(path("neighbourhoods.gpkg"), "GPKG", "name", 32611,
                   {{"North", rectangle_wkt(plot_x, plot_y + 90, plot_x + 240, plot_y + 240)},
                    {"South", rectangle_wkt(plot_x, plot_y, plot_x + 240, plot_y + 90)}});
        config = hamlet_config(folder_.path());
        config.tables.erase("inputs.addresses");
        config("inputs.fuel", "classes") = toml_text(path("classes.csv"));
    }
    fs::path path(const std::string& name) const { return folder_.path() / name; }

    void with_owners_and_neighbourhoods()
    {
        config("inputs.parcels", "path") = toml_text(path("parcels.gpkg"));
        config("inputs.parcels", "owner") = "'owner'";
        config("inputs.neighbourhoods", "path") = toml_text(path("neighbourhoods.gpkg"));
        config("inputs.neighbourhoods", "name") = "'name'";
    }

    /// Conifers, mixed stands and lawns in stripes that fit nothing else; rows from the south.
    static int share_at(std::int64_t col, std::int64_t south_row)
    {
        const std::int64_t stripe = (3 * col + 2 * south_row) / 17 % 4;
        return stripe == 0 ? 100 : stripe == 1 ? 50 : 0;
    }
    static Shape house(const std::string& id, double x, double y)
    {
        return {id, rectangle_wkt(plot_x + x, plot_y + y, plot_x + x + 12.5, plot_y + y + 9)};
    }
    /// `share_of`: per cent of conifers by column and row from the south, or unknown_cover.
    template <typename ShareAt>
    void make_fuel_of(const std::string& name, ShareAt share_of) const
    {
        make_fuel(path(name), {plot_cells,
                               plot_cells,
                               {plot_x, 1, 0, plot_y + plot_cells, 0, -1},
                               32611,
                               [&](std::int64_t row, std::int64_t col) {
                                   const int share = share_of(col, plot_cells - 1 - row);
                                   return share == unknown_cover ? share : share + 1;
                               }});
    }

    ProgramResult run(const std::string& command, const std::string& out,
                      std::vector<std::string> more = {}) const
    {
        config.write(path("run.toml"));
        more.insert(more.begin(),
                    {command, path("run.toml").string(), "--out", path(out).string()});
        return run_fuelring(more);
    }
    /// Appraises rectangles into a folder and returns its path.
    fs::path appraised(const std::string& out, const std::vector<Drawn>& projects,
                       std::vector<std::string> more = {}) const
    {
        write_projects(path(out + ".geojson"), projects);
        more.insert(more.end(), {"--projects", path(out + ".geojson").string()});
        must_succeed(run("appraise", out, more));
        return path(out);
    }
    /// `map` on a raster where every cell has the share that share_at(col, row) gives, per cent.
    template <typename ShareAt>
    fs::path mapped_by_hand(const std::string& out, ShareAt by_hand)
    {
        make_fuel_of(out + ".tif", by_hand);
        ConfigFile changed = config;
        changed("inputs.fuel", "path") = toml_text(path(out + ".tif"));
        changed.write(path(out + ".toml"));
        must_succeed(run_fuelring({"map", path(out + ".toml"), "--out", path(out), "--quiet"}));
        return path(out);
    }
};

/// One number of the layer projects, in full doubles.
inline double figure(const fs::path& out, const std::string& column, const std::string& row)
{
    return sql_number(out / "projects.gpkg",
                      fmt::format("select \"{}\" from projects where {}", column, row));
}

/// A column by structure.
inline std::map<std::string, double> by_structure(const fs::path& file, const std::string& layer,
                                                  const std::string& column)
{
    std::map<std::string, double> values;
    for (const SqlRow& row :
         sql(file, fmt::format("select structure_id, \"{}\" from {}", column, layer)))
        values[row[0].text.value()] = row[1].number.value();
    return values;
}

} // namespace fuelring::test
