// SPDX-License-Identifier: Apache-2.0

// A countryside whose inputs may change between runs, and what has to be the same in two outputs.
#pragma once

#include "support/make_inputs.hpp"
#include "support/read_outputs.hpp"
#include "support/run_program.hpp"
#include "support/temp_folder.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <string>
#include <vector>

namespace fuelring::test {

using nlohmann::json;

/// Everything of an output folder that has to be the same for the same inputs.
struct Outputs {
    explicit Outputs(const fs::path& out)
        : csv{text_of(out / "addresses.csv")}, neighbourhoods{text_of(out / "neighbourhoods.csv")},
          dump{dump_of(out / "fuelring.gpkg")}, priority{read_band(out / "priority.tif")},
          share{read_band(out / "fuel_used.tif", 1)}, group{read_band(out / "fuel_used.tif", 2)},
          manifest(json::parse(text_of(out / "run.json")))
    {
        reuse = manifest.at("reuse");
        for (const char* of_this_run : {"timings", "reuse", "shards", "generation", "run_id",
                                        "begun_by", "files", "notes", "changes", "gate"})
            manifest.erase(of_this_run);
    }
    bool same_as(const Outputs& other) const
    {
        return csv == other.csv && neighbourhoods == other.neighbourhoods && dump == other.dump &&
               priority.same_cells(other.priority) && share.same_cells(other.share) &&
               group.same_cells(other.group) && manifest == other.manifest;
    }
    std::int64_t count(const char* stage, const char* what) const
    {
        return reuse.at(stage).at(what).get<std::int64_t>();
    }
    std::string csv, neighbourhoods, dump;
    Band priority, share, group;
    json manifest, reuse;
};

/// 200 houses in pairs, with room between the pairs, on 3 x 3 blocks of fuel. Inputs may change
/// between runs.
class Countryside {
    TempFolder folder_;

public:
    Countryside() : config{hamlet_config(folder_.path())}
    {
        for (int row = 0; row < 10; ++row)
            for (int col = 0; col < 10; ++col)
                for (const int second : {0, 1}) {
                    const double x = x0 + 60 + 150 * col + 18 * second;
                    const double y = y0 - 60 - 150 * row - 3 * second;
                    houses.push_back({fmt::format("H-{}{}{}", row, col, second),
                                      rectangle_wkt(x, y - 9, x + 12, y)});
                    addresses.push_back({fmt::format("Larch Way {}", houses.size()),
                                         fmt::format("POINT ({} {})", x + 3, y - 3)});
                }
        make_layer(file("areas.gpkg"), "GPKG", "name", 32611,
                   {{"West", rectangle_wkt(x0, y0 - side, x0 + 700, y0)},
                    {"East", rectangle_wkt(x0 + 700, y0 - side, x0 + side, y0)}});
        config("inputs.neighbourhoods", "path") = toml_text(file("areas.gpkg"));
        config("inputs.neighbourhoods", "name") = toml_text("name");
        fs::copy_file(
            fs::path{sample_data().parent_path() / "config/fuel-classes/tamarack_bend.csv"},
            file("classes.csv"));
        config("inputs.fuel", "classes") = toml_text(file("classes.csv"));
        make_fuel(
            file("fuel.tif"),
            {side, side, {x0, 1, 0, y0, 0, -1}, 32611, [](std::int64_t row, std::int64_t col) {
                 const std::int64_t of = row * 31 + col * 17 + row * col;
                 return of % 5 == 0 ? conifer : of % 7 == 0 ? no_data : of % 3 == 0 ? mixed : grass;
             }});
        write_layers();
    }
    ConfigFile config;
    std::vector<Shape> houses, addresses;
    static constexpr double x0 = 600000, y0 = 5601536;
    static constexpr std::int64_t side = 1536;

    fs::path file(const std::string& name) const { return folder_.path() / name; }
    fs::path state() const { return file(".out.state"); }
    void write_layers() const
    {
        for (const char* name : {"structures.gpkg", "addresses.gpkg"})
            fs::remove(file(name));
        make_layer(file("structures.gpkg"), "GPKG", "structure_id", 32611, houses);
        make_layer(file("addresses.gpkg"), "GPKG", "text", 32611, addresses);
    }
    ProgramResult map(const std::string& out = "out",
                      const std::vector<std::string>& more = {}) const
    {
        config.write(file("run.toml"));
        std::vector<std::string> arguments{"map", file("run.toml"), "--out", file(out)};
        arguments.insert(arguments.end(), more.begin(), more.end());
        ProgramResult result = run_fuelring(arguments);
        INFO(result.err);
        REQUIRE(result.exit_code == 0);
        return result;
    }
    Outputs outputs(const std::string& out = "out") const { return Outputs{file(out)}; }
    /// What a run gives that reuses nothing.
    Outputs fresh() const
    {
        map("full", {"--full"});
        return outputs("full");
    }
};

} // namespace fuelring::test
