// SPDX-License-Identifier: Apache-2.0

// The class tables that are shipped, against the published legends they stand for.
// Sources: Forestry Canada Fire Danger Group 1992, Inf. Rep. ST-X-3, Table 2, and the legends of
// the national rasters of 2014 and 2024; Scott and Burgan 2005, RMRS-GTR-153; the legends of NLCD,
// ESA WorldCover and the Copernicus layers. CORINE's grid codes other than 23 to 25 are from
// memory.
#include <fuelring/fuel_classes.hpp>

#include <doctest/doctest.h>

#include <algorithm>
#include <cstdint>
#include <filesystem>
#include <set>
#include <sstream>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

using namespace fuelring;

namespace {

struct Legend {
    std::string_view file;
    std::size_t rows;
    std::string codes; ///< all of them: "1 11-12"
};

const std::vector<Legend>& legends()
{
    static const std::vector<Legend> all = {
        {"nlcd.csv", 20 + 1, // the published classes and the background
         "0 11-12 21-24 31 41-43 51-52 71-74 81-82 90 95"},
        {"standard_fire_behavior_fuel_models.csv", 40 + 5, // those that burn and those that do not
         "91-93 98-99 101-109 121-124 141-149 161-165 181-189 201-204"},
        {"canadian_fbp_2024_national.csv", 16, "1-5 7 11 13 31 101-102 105 415 625 650 675"},
        {"canadian_fbp_2024_every_code.csv",
         29 + 6 * 99, // plain types and p from 1 to 99 in six hundreds
         "1-7 11-13 21-23 31-33 40 50 60 70 80 90 100-106 401-499 501-599 601-699 701-799 801-899 "
         "901-999"},
        {"canadian_fbp_2014_grid.csv", 22, "101-122"},
        {"esa_worldcover.csv", 11 + 1, // the classes and no data
         "0 10 20 30 40 50 60 70 80 90 95 100"},
        {"copernicus_dominant_leaf_type.csv", 4, "0-2 255"},
        {"copernicus_forest_type.csv", 5, "0-3 255"},
        {"corine_grid_codes.csv", 44 + 1, "1-44 48"},
    };
    return all;
}

/// The numbers of "1 11-12".
std::vector<std::int64_t> listed(const std::string& ranges)
{
    std::vector<std::int64_t> codes;
    std::istringstream words{ranges};
    for (std::string word; words >> word;) {
        const std::size_t dash = word.find('-');
        const std::int64_t last = std::stoll(word.substr(dash == word.npos ? 0 : dash + 1));
        for (std::int64_t code = std::stoll(word); code <= last; ++code)
            codes.push_back(code);
    }
    return codes;
}

FuelClassTable table_of(std::string_view file)
{
    return FuelClassTable::read(std::filesystem::path{CLASS_TABLES} / std::string{file});
}

const FuelClass& row_of(const FuelClassTable& table, std::int64_t code)
{
    CAPTURE(code);
    REQUIRE(table.find(code));
    return table[*table.find(code)];
}

bool says(const FuelClass& row, std::string_view text)
{
    return row.source.find(text) != row.source.npos;
}

} // namespace

TEST_CASE("each table holds every code of its legend and no other")
{
    for (const Legend& legend : legends()) {
        CAPTURE(legend.file);
        const FuelClassTable table = table_of(legend.file);
        CHECK(table.rows().size() == legend.rows + 1); // row 0 is 'no data'
        std::size_t found = 0;
        for (const std::int64_t code : listed(legend.codes)) {
            CAPTURE(code);
            CHECK(table.find(code));
            ++found;
        }
        CHECK(found == legend.rows);
    }
}

TEST_CASE("each row names its source, and a share that is not in the legend is a planning default")
{
    for (const Legend& legend : legends()) {
        CAPTURE(legend.file);
        const bool is_canadian = legend.file.starts_with("canadian_fbp_");
        const FuelClassTable table = table_of(legend.file);
        for (const FuelClass& row : table.rows()) {
            CAPTURE(row.code);
            CHECK_FALSE(row.label.empty());
            CHECK_FALSE(row.source.empty());
            // The only shares that a legend states: types C, and the per cent of M-1 and M-2.
            const bool is_published =
                is_canadian && (row.label.starts_with("C-") || says(row, "per cent of conifer in"));
            if (row.conifer_share > 0)
                CHECK(is_published != says(row, "planning default"));
        }
    }
}

TEST_CASE("surface fuel models say nothing of trees: the share of all that burn is judged")
{
    const FuelClassTable table = table_of("standard_fire_behavior_fuel_models.csv");
    int burnable = 0;
    for (std::size_t k = 1; k < table.rows().size(); ++k) {
        const FuelClass& row = table.rows()[k];
        CAPTURE(row.code);
        CHECK(is_vegetation(row.group) == (row.code > 99));
        CHECK(says(row, "planning default") == (row.code > 99));
        burnable += row.code > 99 ? 1 : 0;
    }
    CHECK(burnable == 40);
}

TEST_CASE("a code of mixedwood carries its per cent of conifer, one of dead fir does not")
{
    const FuelClassTable full = table_of("canadian_fbp_2024_every_code.csv");
    for (std::int32_t percent = 1; percent <= 99; ++percent) {
        for (const std::int32_t hundred : {400, 500, 600}) {
            CHECK(row_of(full, hundred + percent).conifer_share == percent * 100);
            CHECK(row_of(full, hundred + percent).group == FuelGroup::mixed);
        }
        for (const std::int32_t hundred : {700, 800, 900}) {
            const FuelClass& row = row_of(full, hundred + percent);
            CHECK(says(row, "planning default"));
            CHECK(row.conifer_share == std::max(5000, percent * 100)); // dead firs are conifers
        }
    }
    const FuelClassTable national = table_of("canadian_fbp_2024_national.csv");
    CHECK(row_of(national, 415).conifer_share == 1500);
    CHECK(row_of(national, 625).conifer_share == 2500);
    CHECK(row_of(national, 650).conifer_share == 5000);
    CHECK(row_of(national, 675).conifer_share == 7500);
}

TEST_CASE("the full lookup gives the codes of the national raster the same meaning")
{
    const FuelClassTable national = table_of("canadian_fbp_2024_national.csv");
    const FuelClassTable full = table_of("canadian_fbp_2024_every_code.csv");
    for (std::size_t k = 1; k < national.rows().size(); ++k) {
        const FuelClass& row = national.rows()[k];
        CHECK(row_of(full, row.code).label == row.label);
        CHECK(row_of(full, row.code).group == row.group);
        CHECK(row_of(full, row.code).conifer_share == row.conifer_share);
    }
}

TEST_CASE("the same code is a different thing in another legend")
{
    struct Case {
        std::int64_t code;
        std::string_view file;
        FuelGroup group;
        std::int32_t share;
        std::string_view label;
    };
    const Case cases[] = {
        {101, "canadian_fbp_2014_grid.csv", FuelGroup::conifer, 10'000, "C-1"},
        {101, "canadian_fbp_2024_national.csv", FuelGroup::bare, 0, "non-fuel"},
        {101, "standard_fire_behavior_fuel_models.csv", FuelGroup::grass, 0, "GR1"},
        {11, "canadian_fbp_2024_national.csv", FuelGroup::broadleaved, 0, "D-1 leafless aspen"},
        {11, "nlcd.csv", FuelGroup::water, 0, "open water"},
        {11, "corine_grid_codes.csv", FuelGroup::grass, 0, "142"},
        {13, "canadian_fbp_2024_national.csv", FuelGroup::broadleaved, 0, "D-1/D-2"},
        {13, "corine_grid_codes.csv", FuelGroup::grass, 0, "212"},
        {24, "corine_grid_codes.csv", FuelGroup::conifer, 10'000, "312"},
        {24, "nlcd.csv", FuelGroup::built, 0, "developed, high"},
        {102, "canadian_fbp_2014_grid.csv", FuelGroup::conifer, 10'000, "C-2"},
        {102, "canadian_fbp_2024_every_code.csv", FuelGroup::water, 0, "water"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.file);
        const FuelClassTable table = table_of(c.file);
        const FuelClass& row = row_of(table, c.code);
        CHECK(row.group == c.group);
        CHECK(row.conifer_share == c.share);
        CHECK(row.label.starts_with(c.label));
    }
    CHECK_FALSE(table_of("nlcd.csv").find(13)); // a wrong table also shows by codes it lacks
}

TEST_CASE("what a class is decides its group")
{
    struct Case {
        std::string_view why, file;
        std::int64_t code;
        FuelGroup group;
        std::int32_t share;
    };
    constexpr std::string_view models = "standard_fire_behavior_fuel_models.csv";
    constexpr std::string_view full = "canadian_fbp_2024_every_code.csv";
    const Case cases[] = {
        {"dwarf conifer", models, 164, FuelGroup::conifer, 10'000},
        {"conifer litter", models, 181, FuelGroup::conifer, 10'000},
        {"conifer litter", models, 183, FuelGroup::conifer, 10'000},
        {"conifer litter", models, 185, FuelGroup::conifer, 10'000},
        {"long-needle litter", models, 188, FuelGroup::conifer, 10'000},
        {"broadleaf litter", models, 182, FuelGroup::broadleaved, 0},
        {"broadleaf litter", models, 186, FuelGroup::broadleaved, 0},
        {"broadleaf litter", models, 189, FuelGroup::broadleaved, 0},
        {"urban", models, 91, FuelGroup::built, 0},
        {"water", models, 98, FuelGroup::water, 0},
        {"conifer slash counts as coniferous fuel", full, 21, FuelGroup::conifer, 10'000},
        {"not available is not zero", full, 100, FuelGroup::unmapped, 0},
        {"unknown is not zero", full, 103, FuelGroup::unmapped, 0},
        {"unclassified is not zero", full, 104, FuelGroup::unmapped, 0},
        {"M-1 without a per cent", full, 40, FuelGroup::mixed, 5000},
        {"trees without leaf type", "esa_worldcover.csv", 10, FuelGroup::mixed, 5000},
        {"no data", "esa_worldcover.csv", 0, FuelGroup::unmapped, 0},
        {"coniferous", "copernicus_dominant_leaf_type.csv", 2, FuelGroup::conifer, 10'000},
        {"broadleaved", "copernicus_dominant_leaf_type.csv", 1, FuelGroup::broadleaved, 0},
        {"outside", "copernicus_dominant_leaf_type.csv", 255, FuelGroup::unmapped, 0},
        {"mixed", "copernicus_forest_type.csv", 3, FuelGroup::mixed, 5000},
        {"311", "corine_grid_codes.csv", 23, FuelGroup::broadleaved, 0},
        {"313", "corine_grid_codes.csv", 25, FuelGroup::mixed, 5000},
        {"no data", "corine_grid_codes.csv", 48, FuelGroup::unmapped, 0},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        CAPTURE(c.file);
        const FuelClassTable table = table_of(c.file);
        CHECK(row_of(table, c.code).group == c.group);
        CHECK(row_of(table, c.code).conifer_share == c.share);
    }
}

TEST_CASE("slash and dead fir are said to be judged in every Canadian coding")
{
    int judged = 0;
    for (const std::string_view file :
         {"canadian_fbp_2024_every_code.csv", "canadian_fbp_2014_grid.csv"}) {
        const FuelClassTable table = table_of(file);
        for (const FuelClass& row : table.rows()) {
            if (row.label.starts_with("S-") || row.label.starts_with("M-3") ||
                row.label.starts_with("M-4")) {
                CHECK(says(row, "planning default"));
                ++judged;
            }
        }
    }
    CHECK(judged == (3 + 3 + 3 * 99) + (3 + 2));
}

TEST_CASE("the folder that is installed holds these tables and two for own rasters")
{
    // The install rule takes every .csv file of the folder.
    std::set<std::string> expected = {"osm_forest.csv", "tamarack_bend.csv"};
    for (const Legend& legend : legends())
        expected.emplace(legend.file);
    std::set<std::string> found;
    for (const auto& entry : std::filesystem::directory_iterator{CLASS_TABLES}) {
        if (entry.path().extension() == ".csv")
            found.insert(entry.path().filename().string());
    }
    CHECK(found == expected);
}
