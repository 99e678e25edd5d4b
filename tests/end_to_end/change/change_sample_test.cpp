// SPDX-License-Identifier: Apache-2.0

// `fuelring change` on the sample: its laws.
#include "support/change_runs.hpp"

#include <nlohmann/json.hpp>

#include <cmath>

using namespace fuelring::test;

TEST_CASE("on the sample the classes of owners add up to the community")
{
    const ChangeRuns runs;
    ConfigFile config = sample_config(sample_data());
    config("inputs.parcels", "path") = toml_text(sample_data() / "parcels.gpkg");
    config("inputs.parcels", "owner") = toml_text("owner");
    runs.map("a", config);
    config("inputs.fuel", "path") = toml_text(sample_data() / "fuel_later.tif");
    runs.map("b", config);
    const fs::path out = runs.changed("a", "b", "out");
    for (const char* column : {"ground_ha", "compared_ha", "removed_ha", "regrown_ha",
                               "unchanged_ha", "mapped_never_ha"}) {
        CAPTURE(column);
        const std::string sums =
            fmt::format("select distance, sum(\"{0}\") from change_areas where scope = '{{}}' "
                        "group by distance order by distance",
                        column);
        const auto whole = sql(out / "change.gpkg", fmt::format(fmt::runtime(sums), "community"));
        const auto parts = sql(out / "change.gpkg", fmt::format(fmt::runtime(sums), "owner"));
        REQUIRE(whole.size() == 8);
        REQUIRE(parts.size() == 8);
        for (std::size_t k = 0; k < whole.size(); ++k) {
            const double ha = whole[k][1].number.value();
            CHECK(std::abs(parts[k][1].number.value() - ha) <= 1e-9 * ha + 1e-11);
        }
    }
    // No part is missing: the three classes of the sample's parcels, and ground that is none.
    CHECK(sql_number(out / "change.gpkg", "select count(distinct name) from change_areas where "
                                          "scope = 'owner'") == 4);
}

TEST_CASE("on the sample forth and back mirror each other, and a run has not changed from itself")
{
    const ChangeRuns runs;
    ConfigFile config = sample_config(sample_data());
    runs.map("a", config);
    config("inputs.fuel", "path") = toml_text(sample_data() / "fuel_later.tif");
    config("inputs.fuel", "date") = toml_text("2025-08-01");
    runs.map("b", config);
    const fs::path forth = runs.changed("a", "b", "forth");
    const fs::path back = runs.changed("b", "a", "back");
    const auto remarks = [](const fs::path& out) {
        return nlohmann::json::parse(text_of(out / "run.json")).at("remarks").dump();
    };
    const char* reversed = "BEFORE's imagery (2025-08-01) is later than AFTER's (2024-07-15)";
    CHECK(remarks(forth).find(reversed) == std::string::npos);
    CHECK(remarks(back).find(reversed) != std::string::npos);
    const char* rows = "select scope, name, distance, {}, {}, {}, {} from change_areas "
                       "order by scope, name, distance";
    const auto there =
        sql(forth / "change.gpkg", fmt::format(fmt::runtime(rows), "removed_ha", "regrown_ha",
                                               "unchanged_ha", "net_change_ha"));
    const auto again =
        sql(back / "change.gpkg", fmt::format(fmt::runtime(rows), "regrown_ha", "removed_ha",
                                              "unchanged_ha", "-net_change_ha"));
    REQUIRE(there.size() == again.size());
    REQUIRE(there.size() > 40);
    for (std::size_t k = 0; k < there.size(); ++k) {
        CHECK(there[k][1].text == again[k][1].text);
        for (std::size_t c = 3; c < 7; ++c) // the same cells in the same order: to the bit
            CHECK(there[k][c].number.value() == again[k][c].number.value());
    }
    CHECK(by_fuel_sum(forth) == doctest::Approx(-by_fuel_sum(back)).epsilon(1e-12));

    const fs::path none = runs.changed("a", "a", "none");
    CHECK(sql_number(none / "change.gpkg",
                     "select max(abs(removed_ha) + abs(regrown_ha) + abs(net_change_ha)) "
                     "from change_areas") == 0);
    CHECK(sql_number(none / "change.gpkg", "select max(abs(exposure_change) + abs(change_by_fuel)) "
                                           "from change_structures") == 0);
    const Band kinds = read_band(none / "change.tif");
    CHECK(std::none_of(kinds.cells.begin(), kinds.cells.end(),
                       [](float v) { return v == 1 || v == 2 || v == 6; }));
}

TEST_CASE("on the sample the change of exposures is that of the fuel, and areas are the runs' own")
{
    const ChangeRuns runs;
    ConfigFile config = sample_config(sample_data());
    runs.map("a", config);
    config("inputs.fuel", "path") = toml_text(sample_data() / "fuel_later.tif");
    runs.map("b", config);
    const fs::path out = runs.changed("a", "b", "out");
    // Both dates have the same gap in the imagery, so all change is of fuel.
    const double sum = exposure_sum(runs.path("a"));
    CHECK(std::abs(by_fuel_sum(out) - (exposure_sum(runs.path("b")) - sum)) <= 1e-9 * sum);
    CHECK(sql_number(out / "change.gpkg",
                     "select max(abs(change_otherwise)) from change_structures") <= 1e-9);
    // Conifer hectares of each date are those of neighbourhoods.csv, found by another walk.
    std::size_t compared = 0;
    for (const char* distance : {"1.5m", "10m", "30m", "100m"})
        for (const auto& [run, column] :
             {std::pair{"a", "conifer_before_ha"}, std::pair{"b", "conifer_after_ha"}})
            for (const SqlRow& row :
                 sql(runs.path(run) / "fuelring.gpkg",
                     fmt::format("select neighbourhood, \"conifer_ha_within_{}\" from "
                                 "neighbourhoods",
                                 distance))) {
                const double ha = row[1].number.value();
                const double here =
                    sql_number(out / "change.gpkg",
                               fmt::format("select \"{}\" from change_areas where name = '{}' and "
                                           "distance = 'within_{}'",
                                           column, row[0].text.value(), distance));
                CHECK(std::abs(here - ha) <= 1e-9 * ha + 1e-12);
                ++compared;
            }
    CHECK(compared == 2 * 4 * 7);
    // Largest changes first.
    const Csv csv = read_csv(out / "change_by_address.csv");
    double last = 100;
    for (std::size_t row = 0; row < csv.rows.size(); ++row) {
        const double change = std::abs(std::stod(csv.cell(row, "exposure_change")));
        CHECK(change <= last);
        last = change;
    }
    CHECK(csv.rows.size() == read_csv(runs.path("b") / "addresses.csv").rows.size());
}
