// SPDX-License-Identifier: Apache-2.0

// A hamlet whose gate is on, and how each of the gate's reasons comes about.
#pragma once

#include "end_to_end/messages.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>

namespace fuelring::test {

/// Mapped once; its inputs may be changed and brought back.
class GatedHamlet : public MappedHamlet {
public:
    GatedHamlet()
    {
        config.tables.erase("gate"); // its defaults
        for (const char* name : inputs)
            good_[name] = text_of(folder() / name);
    }
    fs::path fuel() const { return folder() / "fuel.tif"; }
    fs::path structures() const { return folder() / "structures.gpkg"; }
    void restore()
    {
        for (const auto& [name, bytes] : good_)
            write_text(folder() / name, bytes);
        config.tables.erase("gate");
    }
    /// The hamlet's raster written again, with another code where `code_at` gives one.
    void change_fuel(const std::function<std::optional<int>(std::int64_t row, std::int64_t col,
                                                            int code)>& code_at) const
    {
        fs::remove(fuel());
        make_fuel(fuel(), {hamlet_cells, hamlet_cells, hamlet_transform, 32611,
                           [&](std::int64_t row, std::int64_t col) {
                               const int code = code_of(col);
                               return code_at(row, col, code).value_or(code);
                           }});
    }
    void lay_fuel(std::int64_t cols, std::int64_t rows, const std::array<double, 6>& transform,
                  int epsg) const
    {
        fs::remove(fuel());
        const double width = transform[1];
        make_fuel(fuel(),
                  {cols, rows, transform, epsg, [width](std::int64_t, std::int64_t col) {
                       return code_of(static_cast<std::int64_t>(static_cast<double>(col) * width));
                   }});
    }
    /// The hamlet's houses, each as `change` leaves it, and further ones.
    void change_structures(const std::function<void(House&)>& change,
                           const std::vector<Shape>& more = {}) const
    {
        fs::remove(structures());
        std::vector<Shape> shapes{{"A-5", rectangle_wkt(600900, 5600150, 600910, 5600160)}};
        for (House house : hamlet_houses) {
            change(house);
            shapes.push_back({house.id, rectangle_wkt(house.x0, house.y0, house.x1, house.y1)});
        }
        shapes.insert(shapes.end(), more.begin(), more.end());
        make_layer(structures(), "GPKG", "structure_id", 32611, shapes);
    }
    nlohmann::json gate(const fs::path& out) const
    {
        return nlohmann::json::parse(text_of(out / "run.json")).at("gate");
    }

private:
    static constexpr const char* inputs[] = {"fuel.tif", "structures.gpkg"};
    static int code_of(std::int64_t col)
    {
        return col < hamlet_mixed_col   ? conifer
               : col < hamlet_grass_col ? mixed
               : col < hamlet_gap_col   ? grass
                                        : no_data;
    }
    std::map<std::string, std::string> good_;
};

/// Of a list of run.json.
inline std::vector<std::string> reasons_of(const nlohmann::json& list)
{
    std::vector<std::string> reasons;
    for (const nlohmann::json& reason : list)
        reasons.push_back(reason.at("reason"));
    return reasons;
}

/// One reason of the gate.
struct Held {
    std::string reason;  ///< as in run.json
    std::string message; ///< as in messages.md, after "the input check stopped this run: "
    std::vector<std::string> words;
    bool seen_by_check;
    std::function<void(GatedHamlet&)> act;

    std::string kind() const
    {
        for (const char* one : {"crs", "cell_size", "direction", "extent", "shifted"})
            if (reason == one)
                return "raster";
        for (const char* one : {"structures", "ids", "ids_elsewhere", "structures_shifted"})
            if (reason == one)
                return "structures";
        return reason == "new_codes" ? "codes" : "ground";
    }
};

inline void renumber(House& house)
{
    static constexpr const char* others[] = {"A-2", "A-3", "A-4", "A-1"};
    house.id = others[house.id[2] - '1'];
}

inline std::vector<Held> ways_to_be_held()
{
    constexpr double x0 = 600000, y0 = 5600300;
    return {
        {"crs",
         "the fuel raster was in … in the last run, and is in … now",
         {"EPSG:26911", "EPSG:32611"},
         true,
         [](GatedHamlet& h) { h.lay_fuel(300, 300, hamlet_transform, 26911); }},
        {"cell_size",
         "the fuel raster had cells of … in the last run, and has cells of … now",
         {"1 x 1", "2 x 2"},
         true,
         [](GatedHamlet& h) {
             h.lay_fuel(150, 150, {x0, 2, 0, y0, 0, -2}, 32611);
         }},
        {"direction",
         "rows or columns of the fuel raster run in another direction than …",
         {},
         true,
         [](GatedHamlet& h) {
             h.lay_fuel(300, 300, {x0, 1, 0, y0 - 300, 0, 1}, 32611);
         }},
        {"extent",
         "the fuel raster covered … in the last run, and covers … now, which rings reach",
         {"300 x 300 cells from 600000, 5600300", "285 x 300"},
         true,
         [](GatedHamlet& h) { h.lay_fuel(285, 300, hamlet_transform, 32611); }},
        {"shifted",
         "the fuel raster is shifted by …",
         {"0, 12 (x, y)"},
         true,
         [](GatedHamlet& h) { move_raster_north(h.fuel(), 12); }},
        {"unmapped",
         "no ground within … m of any structure is mapped: …",
         {"100 m", "nodata"},
         true,
         [](GatedHamlet& h) { h.change_fuel([](auto, auto, int) { return no_data; }); }},
        {"mapped_share",
         "the mapped share of the land within … m of the structures: … in the last run, … now "
         "(gate.max_change is …)",
         {"100 m", "gate.max_change is 5"},
         false,
         [](GatedHamlet& h) {
             h.change_fuel([](std::int64_t row, auto, int code) { return row < 100 ? 0 : code; });
         }},
        {"conifer_share",
         "the conifer share of the land within … m of the structures: … in the last run, … now "
         "(gate.max_change is …)",
         {"10 m"},
         false,
         [](GatedHamlet& h) {
             h.change_fuel([](auto, std::int64_t col, int code) {
                 return col > 120 && col < 140 ? conifer : code;
             });
         }},
        {"conifers_changed",
         "the conifer share of the land within … m of the structures: … in the last run, … now "
         "(gate.max_relative_change is …)",
         {"10 m"},
         false,
         [](GatedHamlet& h) {
             h.config("gate", "max_change") = "100";
             h.change_fuel([](auto, std::int64_t col, int code) {
                 return col > 120 && col < 140 ? conifer : code;
             });
         }},
        {"conifers_gone",
         "nearly all conifers are gone: …",
         {"100 m", ", 0% now"},
         false,
         [](GatedHamlet& h) {
             h.config("gate", "max_change") = "100";
             h.config("gate", "max_relative_change") = "100";
             h.change_fuel([](auto, auto, int code) { return code == no_data ? no_data : grass; });
         }},
        {"new_codes",
         "…% of the cells around the structures have codes that the last run did not meet: …",
         {"8 road", "gate.max_change is 5"},
         true,
         [](GatedHamlet& h) {
             h.change_fuel([](auto, auto, int code) { return code == grass ? road : code; });
         }},
        {"structures",
         "the number of structures: … in the last run, … now …",
         {": 5 in the last run, 8 now"},
         true,
         [](GatedHamlet& h) {
             h.config("gate", "max_change") = "100"; // they stand among other conifers
             h.config("gate", "max_relative_change") = "100";
             h.change_structures([](House&) {},
                                 {{"B-1", rectangle_wkt(600130, 5600050, 600140, 5600060)},
                                  {"B-2", rectangle_wkt(600150, 5600050, 600160, 5600060)},
                                  {"B-3", rectangle_wkt(600170, 5600050, 600180, 5600060)}});
         }},
        {"ids",
         "…% of the last run's structure ids are gone",
         {"60%"}, // three of five
         true,
         [](GatedHamlet& h) {
             h.change_structures([](House& house) {
                 house.id = house.id[2] == '1'   ? "B-1"
                            : house.id[2] == '2' ? "B-2"
                            : house.id[2] == '3' ? "B-3"
                                                 : house.id;
             });
         }},
        {"ids_elsewhere",
         "…% of the last run's structure ids are now in other places: …",
         {"60%"}, // are less than 20 m apart
         true,
         [](GatedHamlet& h) { h.change_structures(renumber); }},
        {"structures_shifted",
         "the structures are shifted by …",
         {"0.1 m to the east", "3.0 m to the north"}, // the grid is turned by 1.1 degrees,
         true,
         [](GatedHamlet& h) { move_layer_north(h.structures(), 3); }},
    };
}

} // namespace fuelring::test
