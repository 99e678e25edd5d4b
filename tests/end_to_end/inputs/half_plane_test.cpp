// SPDX-License-Identifier: Apache-2.0
#include "support/closed_forms.hpp"
#include "support/make_inputs.hpp"
#include "support/read_outputs.hpp"
#include "support/run_program.hpp"
#include "support/temp_folder.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <cmath>

using namespace fuelring::test;

namespace {

constexpr double line_x = 600'000; ///< conifers lie east of it; a cell edge at every cell size
constexpr double first_y = 5'600'100;
constexpr double side_m = 11.625; ///< of every square; 1/1024 m fit, so files hold it exactly
constexpr std::array distances_m{0.0, 0.375, 3.75, 12.0 + 1.0 / 1024, 55.5};

void make_place(const fs::path& folder, double cell_m)
{
    const auto line_col = static_cast<std::int64_t>(200 / cell_m);
    make_fuel(folder / "fuel.tif", {static_cast<std::int64_t>(320 / cell_m),
                                    static_cast<std::int64_t>(320 / cell_m),
                                    {line_x - 200, cell_m, 0, first_y + 200, 0, -cell_m},
                                    32611,
                                    [line_col](std::int64_t, std::int64_t col) {
                                        return col >= line_col ? conifer : grass;
                                    }});
    std::vector<Shape> squares;
    for (std::size_t k = 0; k < distances_m.size(); ++k) {
        const double x1 = line_x - distances_m[k];
        const double y0 = first_y + 15.125 * static_cast<double>(k); // at any place in a cell
        squares.push_back(
            {fmt::format("square {}", k), rectangle_wkt(x1 - side_m, y0, x1, y0 + side_m)});
    }
    make_layer(folder / "structures.gpkg", "GPKG", "structure_id", 32611, squares);
}

} // namespace

TEST_CASE("conifers beyond a line fill every ring as the closed form says, through files")
{
    for (const double cell_m : {0.25, 1.0, 5.0}) {
        CAPTURE(cell_m);
        const TempFolder folder;
        make_place(folder.path(), cell_m);
        ConfigFile config = hamlet_config(folder.path());
        config.tables.erase("inputs.addresses");
        config.write(folder.path() / "run.toml");
        must_succeed(run_fuelring({"map", folder.path() / "run.toml"}));
        const auto rows =
            sql(folder.path() / "out" / "fuelring.gpkg",
                "select nearest_conifer_m, "
                "\"ring_m2_0_1.5m\", \"conifer_m2_0_1.5m\", \"ring_m2_1.5_10m\", "
                "\"conifer_m2_1.5_10m\", ring_m2_10_30m, conifer_m2_10_30m, ring_m2_30_100m, "
                "conifer_m2_30_100m from structures order by structure_id");
        REQUIRE(rows.size() == distances_m.size());
        for (std::size_t k = 0; k < rows.size(); ++k) {
            const double d = distances_m[k];
            CAPTURE(d);
            REQUIRE(rows[k][0].number);
            CHECK(std::abs(*rows[k][0].number - d) < 1e-9); // a northing is good to 5e-10 m
            double inner_r = 0;
            std::size_t column = 1;
            for (const double r : {1.5, 10.0, 30.0, 100.0}) {
                CAPTURE(r);
                const double ring_m2 = grown_m2(side_m, r) - grown_m2(side_m, inner_r);
                const double conifer_m2 =
                    beyond_line_m2(side_m, d, r) - beyond_line_m2(side_m, d, inner_r);
                // Coordinates of files are good to 5e-10 m; the narrowest ring is 1.5 m wide.
                CHECK(std::abs(rows[k][column].number.value() - ring_m2) < 1e-8 * ring_m2);
                CHECK(std::abs(rows[k][column + 1].number.value() - conifer_m2) < 1e-8 * ring_m2);
                inner_r = r;
                column += 2;
            }
        }
    }
}
