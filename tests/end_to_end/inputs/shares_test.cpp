// SPDX-License-Identifier: Apache-2.0

// Rasters that hold a share of conifers in each cell instead of a class: against a raster of
// classes of the same shares, and what is said of values that are no share.
#include "end_to_end/share_raster.hpp"
#include "support/hamlet.hpp"
#include "support/read_outputs.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <functional>

using namespace fuelring::test;
using nlohmann::json;

namespace {

/// The hamlet's conifers, mixed strip and lawns as shares; its gap is nodata.
double hamlet_share(std::int64_t col)
{
    return col < hamlet_mixed_col ? 1 : col < hamlet_grass_col ? 0.5 : 0;
}

/// The hamlet, its raster of classes replaced by one of shares.
class SharedHamlet : public Hamlet {
public:
    explicit SharedHamlet(const std::string& values)
    {
        config("inputs.fuel", "values") = toml_text(values);
        config("inputs.fuel", "path") = toml_text(file());
        config.tables["inputs.fuel"].erase("classes");
    }
    fs::path file() const { return folder() / "shares.tif"; }
    /// Cells of `type`: `whole` times their share, `nodata` in the gap.
    void make(GDALDataType type, double whole, double nodata, bool declared = true) const
    {
        make_shares(file(), type, declared ? std::optional{nodata} : std::nullopt,
                    [=](std::int64_t, std::int64_t col) {
                        return col < hamlet_gap_col ? whole * hamlet_share(col) : nodata;
                    });
    }
};

/// addresses.csv without what a raster of shares does not know.
std::vector<std::vector<std::string>> known_cells(const fs::path& out)
{
    const Csv csv = read_csv(out / "addresses.csv");
    std::vector<std::vector<std::string>> rows{{}};
    for (const auto& row : csv.rows)
        for (std::size_t k = 0; k < csv.header.size(); ++k)
            if (csv.header[k].find("other_burnable") == std::string::npos)
                rows.back().push_back(row[k]);
    return rows;
}

void check_same_figures(const fs::path& a, const fs::path& b)
{
    CHECK(known_cells(a) == known_cells(b));
    CHECK((text_of(a / "neighbourhoods.csv") == text_of(b / "neighbourhoods.csv")));
    CHECK(read_band(a / "priority.tif").same_cells(read_band(b / "priority.tif")));
    CHECK(read_band(a / "fuel_used.tif").same_cells(read_band(b / "fuel_used.tif")));
}

} // namespace

TEST_CASE("a raster of shares gives the figures of classes with these shares, bit for bit")
{
    const Hamlet classes;
    must_succeed(classes.run("map"));
    struct Case {
        std::string_view why;
        const char* values;
        GDALDataType type;
        double whole, nodata;
    };
    const Case cases[] = {{"bytes of per cent", "percent", GDT_Byte, 100, 255},
                          {"whole numbers below zero too", "percent", GDT_Int16, 100, -1},
                          {"real numbers of per cent", "percent", GDT_Float32, 100, -9999},
                          {"fractions", "fraction", GDT_Float32, 1, -1},
                          {"fractions of eight bytes", "fraction", GDT_Float64, 1, NAN},
                          {"a mask of 0 and 1 with halves", "fraction", GDT_Float32, 1, 7}};
    for (const Case& c : cases) {
        CAPTURE(c.why);
        SharedHamlet hamlet{c.values};
        hamlet.make(c.type, c.whole, c.nodata);
        must_succeed(hamlet.run("map"));
        check_same_figures(hamlet.out(), classes.out());
        const Csv csv = read_csv(hamlet.out() / "addresses.csv");
        for (std::size_t row = 0; row < csv.rows.size(); ++row)
            CHECK(csv.cell(row, "other_burnable_frac_10_30m").empty()); // unknown, not 0
    }
}

TEST_CASE("shares are rounded to ten-thousandths, and a band's scale is heeded")
{
    // Every cell within reach holds the share, so each fraction is it to the CSV's six decimals.
    struct Case {
        std::string_view why;
        const char* values;
        double cell, scale;
        std::string_view frac;
    };
    const Case cases[] = {{"four decimals stand", "fraction", 0.1234, 1, "0.123400"},
                          {"more are rounded", "fraction", 0.33333333, 1, "0.333300"},
                          {"half a step goes up", "percent", 12.345, 1, "0.123500"},
                          {"steps of half a per cent", "percent", 75, 0.5, "0.375000"},
                          {"rounding beyond 1 is none", "fraction", 1.00001, 1, "1.000000"}};
    for (const Case& c : cases) {
        CAPTURE(c.why);
        SharedHamlet hamlet{c.values};
        make_shares(
            hamlet.file(), GDT_Float64, {}, [&](auto, auto) { return c.cell; }, c.scale);
        must_succeed(hamlet.run("map"));
        const Csv csv = read_csv(hamlet.out() / "addresses.csv");
        CHECK(csv.cell(0, "conifer_frac_1.5_10m") == c.frac);
    }
}

TEST_CASE("a rerun, shards and a change of one cell of shares are exact")
{
    SharedHamlet hamlet{"percent"};
    const auto share = [](std::int64_t row, std::int64_t col) {
        return static_cast<double>((row * 7 + col * 13) % 10001) / 100;
    };
    make_shares(hamlet.file(), GDT_Float32, {}, share);
    must_succeed(hamlet.run("map"));
    const std::string first = text_of(hamlet.out() / "addresses.csv");
    CHECK(must_succeed(hamlet.run("map")).said("nothing changed"));

    const auto shard = [&](const char* which) {
        must_succeed(hamlet.run("map", {"--shard", which, "--out", hamlet.folder() / "parts"}));
    };
    shard("1/2");
    shard("2/2");
    must_succeed(hamlet.run("merge", {hamlet.folder() / "parts/shard-1-of-2.part",
                                      hamlet.folder() / "parts/shard-2-of-2.part", "--out",
                                      hamlet.folder() / "merged"}));
    CHECK((text_of(hamlet.folder() / "merged/addresses.csv") == first));

    // A square of 20 m within reach loses all of its conifers: the sum of its shares is removed.
    const auto is_cut = [](std::int64_t row, std::int64_t col) {
        return row >= 190 && row < 210 && col >= 140 && col < 160;
    };
    double cut_ha = 0;
    make_shares(hamlet.file(), GDT_Float32, {}, [&](std::int64_t row, std::int64_t col) {
        cut_ha += is_cut(row, col) ? share(row, col) / 100 / 1e4 : 0;
        return is_cut(row, col) ? 0 : share(row, col);
    });
    must_succeed(hamlet.run("map", {"--out", hamlet.folder() / "later"}));
    must_succeed(run_fuelring(
        {"change", hamlet.out(), hamlet.folder() / "later", "--out", hamlet.folder() / "change"}));
    const Csv change = read_csv(hamlet.folder() / "change/change.csv");
    bool found = false;
    for (std::size_t row = 0; row < change.rows.size(); ++row)
        if (change.cell(row, "scope") == "community" &&
            change.cell(row, "distance") == "within_100m") {
            found = true;
            // On the ground a cell is up to 0.06 % off 1 m2; the table has four decimals.
            CHECK(std::abs(std::stod(change.cell(row, "removed_ha")) - cut_ha) < 6e-5);
        }
    CHECK(found);
    must_succeed(hamlet.run("map", {"--full", "--out", hamlet.folder() / "again"}));
    CHECK((text_of(hamlet.folder() / "again/addresses.csv") ==
           text_of(hamlet.folder() / "later/addresses.csv")));
}

TEST_CASE("a plan, a report and field checks work on shares")
{
    SharedHamlet hamlet{"percent"};
    hamlet.make(GDT_Byte, 100, 255);
    make_layer(hamlet.folder() / "parcels.gpkg", "GPKG", "owner", 32611,
               {{"private", rectangle_wkt(600000, 5600000, 600300, 5600300)}});
    hamlet.config("inputs.parcels", "path") = toml_text(hamlet.folder() / "parcels.gpkg");
    hamlet.config("inputs.parcels", "owner") = "'owner'";
    hamlet.config("treat", "budget") = "{ hectares = 0.05 }";
    write_text(hamlet.folder() / "visits.csv",
               "kind,structure_id,group,date,initials,wkt\nnot_conifer,,grass,2026-05-31,AB,\"" +
                   rectangle_wkt(600020, 5600100, 600030, 5600110) + "\"\n");
    hamlet.config("inputs.corrections", "path") = toml_text(hamlet.folder() / "visits.csv");
    hamlet.config("inputs.corrections", "crs") = toml_text("EPSG:32611");
    must_succeed(hamlet.run("map"));
    const Band used = read_band(hamlet.out() / "fuel_used.tif");
    CHECK(used.at(195, 25) == 0);     // the visit found grass
    CHECK(used.at(195, 35) == 10000); // beside it nothing changed
    must_succeed(hamlet.run("treat"));
    CHECK(read_csv(hamlet.out() / "treatment_units.csv").rows.size() > 0);
    must_succeed(run_fuelring({"report", hamlet.out(), "--sheets", "all"}));
    const json manifest = json::parse(text_of(hamlet.out() / "run.json"));
    std::int64_t cells = 0;
    for (const json& row : manifest.at("fuel_classes"))
        cells += row.at("group") == "share" ? row.at("cells_reached").get<std::int64_t>() : 0;
    CHECK(cells > 0);
    CHECK(manifest.at("configuration").at("filters").at("inputs.fuel").at("values") == "percent");
}

TEST_CASE("values that are no share, or are in the other unit, are refused with the way out")
{
    struct Case {
        std::string_view why;
        const char* values;
        double whole, gap;
        std::vector<std::string_view> says;
    };
    const Case cases[] = {
        {"fill that the file does not declare",
         "percent",
         100,
         255,
         {"outside 0 to 100: 255 (", "unknown_codes = \"unmapped\""}},
        {"percentages as fractions",
         "fraction",
         100,
         100,
         {"looks like percentages", "set inputs.fuel.values = \"percent\""}},
        {"fractions as percentages",
         "percent",
         1,
         0,
         {"no cell around the structures is above 1", "set inputs.fuel.values = \"fraction\""}},
        {"heights", "percent", 1500, 1500, {"outside 0 to 100: 1500 (", "cells), 750 ("}}};
    for (const Case& c : cases) {
        CAPTURE(c.why);
        SharedHamlet hamlet{c.values};
        hamlet.make(GDT_Float32, c.whole, c.gap, false);
        for (const char* command : {"check", "map"}) {
            const ProgramResult run = hamlet.run(command);
            CAPTURE(run.err);
            CHECK(run.exit_code == 3);
            for (const std::string_view words : c.says)
                CHECK(run.said(words));
        }
    }
}

TEST_CASE("values that are no share count as unmapped where that is asked for, and are counted")
{
    SharedHamlet hamlet{"percent"};
    hamlet.make(GDT_Byte, 100, 255, false);
    hamlet.config("inputs.fuel", "unknown_codes") = "'unmapped'";
    const ProgramResult run = must_succeed(hamlet.run("map"));
    CHECK(run.said("255 ("));
    CHECK(run.said("count as unmapped"));
    SharedHamlet declared{"percent"};
    declared.make(GDT_Byte, 100, 255);
    must_succeed(declared.run("map"));
    check_same_figures(hamlet.out(), declared.out());
}

TEST_CASE("a class table beside shares is refused, and so is another word")
{
    SharedHamlet hamlet{"percent"};
    hamlet.make(GDT_Byte, 100, 255);
    hamlet.config("inputs.fuel", "classes") = "'classes.csv'";
    CHECK(hamlet.run("check").said("a class table beside values = \"percent\", which needs none"));
    hamlet.config("inputs.fuel", "values") = "'shares'";
    CHECK(hamlet.run("check").said("write \"classes\", \"percent\" or \"fraction\""));
}
