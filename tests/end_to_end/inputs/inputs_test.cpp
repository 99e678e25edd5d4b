// SPDX-License-Identifier: Apache-2.0

// The same place in other files: the figures stay.
#include "support/make_inputs.hpp"
#include "support/read_outputs.hpp"
#include "support/run_program.hpp"
#include "support/temp_folder.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <map>

using namespace fuelring::test;

namespace {

using Exposures = std::map<std::string, double>;

fs::path map_with(const fs::path& folder, const ConfigFile& config)
{
    config.write(folder / "run.toml");
    must_succeed(run_fuelring({"map", folder / "run.toml"}));
    return folder / "out";
}

Exposures exposures(const fs::path& out)
{
    Exposures found;
    for (const SqlRow& row :
         sql(out / "fuelring.gpkg", "select structure_id, exposure from structures"))
        found[row[0].text.value()] = row[1].number.value();
    return found;
}

double largest_difference(const Exposures& a, const Exposures& b)
{
    REQUIRE(a.size() == b.size());
    double largest = 0;
    for (const auto& [id, exposure] : a)
        largest = std::max(largest, std::abs(exposure - b.at(id)));
    return largest;
}

} // namespace

TEST_CASE("footprints of other formats and systems give the same exposures")
{
    const TempFolder folder;
    ConfigFile config = sample_config(sample_data());
    const Exposures expected = exposures(map_with(folder.path(), config));
    REQUIRE(expected.size() > 300);
    struct Case {
        std::string why, driver, file;
        int epsg;
        std::string id;
        double tolerance; ///< points
    };
    const Case cases[] = {
        // There and back PROJ keeps 1e-8 m, and a wall moved by that changes the ring of 1.5 m,
        // which weighs 0.35 of 100 points, by no more than 1e-8 / 1.5 of it: 2e-7 points.
        {"degrees", "GPKG", "degrees.gpkg", 4326, "structure_id", 1e-6},
        {"GeoJSON", "GeoJSON", "structures.geojson", 4326, "structure_id", 1e-6},
        // The same doubles, perhaps from another vertex on: rounding of 1e-12 of 100 points.
        {"a shapefile cuts names after ten letters", "ESRI Shapefile", "structures.shp", 32611,
         "structure_", 1e-9},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        const fs::path file = folder.path() / c.file;
        reproject_layer(sample_data() / "structures.gpkg", file, c.driver.c_str(), c.epsg);
        config("inputs.structures", "path") = toml_text(file);
        config("inputs.structures", "id") = toml_text(c.id);
        const double difference =
            largest_difference(expected, exposures(map_with(folder.path(), config)));
        CHECK(difference < c.tolerance);
    }
}

TEST_CASE("a raster whose rows run from south to north gives the same figures")
{
    const TempFolder folder;
    ConfigFile config = sample_config(sample_data());
    const fs::path out = map_with(folder.path(), config);
    const Exposures expected = exposures(out);
    const Band priority = read_band(out / "priority.tif");
    const Band north_up = read_band(sample_data() / "fuel.tif");
    const auto& g = north_up.transform;
    REQUIRE(g[5] < 0);
    make_fuel(folder.path() / "south_up.tif",
              {north_up.cols,
               north_up.rows,
               {g[0], g[1], 0, g[3] + g[5] * static_cast<double>(north_up.rows), 0, -g[5]},
               32611,
               [&](std::int64_t row, std::int64_t col) {
                   return static_cast<int>(north_up.at(north_up.rows - 1 - row, col));
               }});
    config("inputs.fuel", "path") = toml_text(folder.path() / "south_up.tif");
    map_with(folder.path(), config);
    CHECK(largest_difference(expected, exposures(out)) < 1e-9); // rounding, as above

    const Band flipped = read_band(out / "priority.tif");
    CHECK(flipped.transform[5] == -g[5]);
    std::size_t different = 0;
    for (std::int64_t row = 0; row < flipped.rows; ++row)
        for (std::int64_t col = 0; col < flipped.cols; ++col) {
            const float a = priority.at(flipped.rows - 1 - row, col);
            const float b = flipped.at(row, col);
            // Float32 has 6e-8; a cell that a ring only grazes holds little but rounding.
            const bool same = std::isnan(a) ? std::isnan(b) : std::abs(a - b) <= 2e-7F * a + 1e-9F;
            different += same ? 0 : 1;
        }
    CHECK(different == 0);
}
