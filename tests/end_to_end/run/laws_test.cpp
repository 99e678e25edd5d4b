// SPDX-License-Identifier: Apache-2.0

// The laws of rings and exposure on the sample community, through files.
#include "support/make_inputs.hpp"
#include "support/read_outputs.hpp"
#include "support/run_program.hpp"
#include "support/temp_folder.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

using namespace fuelring::test;

namespace {

constexpr const char* sum_of_exposure = "select sum(exposure) from structures";

/// Runs the sample as `config` has it and returns the output folder.
fs::path map_sample(const fs::path& folder, const ConfigFile& config, const std::string& name)
{
    config.write(folder / "run.toml");
    const fs::path out = folder / name;
    must_succeed(run_fuelring({"map", folder / "run.toml", "--out", out}));
    return out;
}

struct Cell {
    std::int64_t row = 0, col = 0;
};

/// The cells of one share of conifer, by falling value of the surface.
std::vector<Cell> cells_of_share(const Band& priority, const Band& share, float wanted)
{
    std::vector<Cell> cells;
    for (std::int64_t row = 0; row < share.rows; ++row)
        for (std::int64_t col = 0; col < share.cols; ++col)
            if (share.at(row, col) == wanted && priority.at(row, col) > 0)
                cells.push_back({row, col});
    std::stable_sort(cells.begin(), cells.end(), [&](Cell a, Cell b) {
        return priority.at(a.row, a.col) > priority.at(b.row, b.col);
    });
    return cells;
}

/// Exposure by structure.
std::map<std::string, double> exposures(const fs::path& out)
{
    std::map<std::string, double> found;
    for (const SqlRow& row :
         sql(out / "fuelring.gpkg", "select structure_id, exposure from structures"))
        found[row[0].text.value()] = row[1].number.value();
    return found;
}

/// Sum of the differences, which loses less to rounding than the difference of the sums.
double fall(const std::map<std::string, double>& before, const std::map<std::string, double>& after)
{
    double sum = 0;
    for (const auto& [id, exposure] : before)
        sum += exposure - after.at(id);
    return sum;
}

} // namespace

TEST_CASE("the surface sums to the exposure of all structures")
{
    const TempFolder folder;
    const fs::path out = map_sample(folder.path(), sample_config(sample_data()), "out");
    const double exposure = sql_number(out / "fuelring.gpkg", sum_of_exposure);
    CHECK(exposure > 1000);
    // Float32 rounds each cell by up to 6e-8 of its value, so their sum by no more.
    CHECK(std::abs(read_band(out / "priority.tif").sum() - exposure) < 1e-7 * exposure);
}

TEST_CASE("clearing a cell lowers the summed exposure by what the surface says")
{
    const TempFolder folder;
    ConfigFile config = sample_config(sample_data());
    const fs::path before = map_sample(folder.path(), config, "before");
    const Band priority = read_band(before / "priority.tif");
    const Band share = read_band(before / "fuel_used.tif");
    const std::vector<Cell> whole = cells_of_share(priority, share, 10000);
    const std::vector<Cell> half = cells_of_share(priority, share, 5000);
    REQUIRE(whole.size() > 1000);
    REQUIRE(half.size() > 100);
    const fs::path fuel = folder.path() / "fuel.tif";
    config("inputs.fuel", "path") = toml_text(fuel);
    for (const Cell cell : {whole.front(), whole[whole.size() / 2], half.front()}) {
        fs::copy_file(sample_data() / "fuel.tif", fuel, fs::copy_options::overwrite_existing);
        set_cell(fuel, cell.row, cell.col, grass);
        const fs::path after = map_sample(folder.path(), config, "after");
        const auto value = static_cast<double>(priority.at(cell.row, cell.col));
        CAPTURE(cell.row);
        CAPTURE(cell.col);
        CAPTURE(value);
        // Float32 rounds the value by 6e-8 of it. Structures out of reach differ by exactly 0, the
        // few dozen in reach each by rounding, 1e-12 of 100 points at the most: 1e-9 in all would
        // be 1e-6 of the smallest value here.
        CHECK(value > 1e-3);
        CHECK(std::abs(fall(exposures(before), exposures(after)) - value) < 1e-6 * value);
    }
}

TEST_CASE("500 km further north nothing changes but the coordinates")
{
    constexpr double north_m = 500'000;
    const TempFolder folder;
    const fs::path here = map_sample(folder.path(), sample_config(sample_data()), "here");
    const fs::path moved = folder.path() / "moved";
    fs::create_directory(moved);
    for (const char* name : {"structures.gpkg", "addresses.gpkg", "neighbourhoods.gpkg"}) {
        fs::copy_file(sample_data() / name, moved / name);
        move_layer_north(moved / name, north_m);
    }
    for (const char* name : {"fuel.tif", "elevation.tif"}) {
        fs::copy_file(sample_data() / name, moved / name);
        move_raster_north(moved / name, north_m);
    }
    const fs::path there = map_sample(folder.path(), sample_config(moved), "there");

    CHECK(read_band(here / "priority.tif").same_cells(read_band(there / "priority.tif")));
    CHECK(text_of(here / "neighbourhoods.csv") == text_of(there / "neighbourhoods.csv"));
    const Csv a = read_csv(here / "addresses.csv");
    const Csv b = read_csv(there / "addresses.csv");
    REQUIRE(a.header == b.header);
    REQUIRE(a.rows.size() == b.rows.size());
    std::size_t compared = 0;
    for (std::size_t row = 0; row < a.rows.size(); ++row) {
        CAPTURE(row);
        CHECK(b.cell(row, "y") == fmt::format("{:.3f}", std::stod(a.cell(row, "y")) + north_m));
        for (std::size_t k = 0; k < a.header.size(); ++k) {
            if (a.header[k] == "y" || a.header[k] == "lon" || a.header[k] == "lat")
                continue;
            CAPTURE(a.header[k]);
            CHECK(a.rows[row][k] == b.rows[row][k]);
            ++compared;
        }
    }
    CHECK(compared > 10'000);
}
