// SPDX-License-Identifier: Apache-2.0

// Reuse where everything is configured that a run may have, and after a restored backup.
#include "countryside.hpp"

#include <cmath>
#include <functional>
#include <random>
#include <utility>

using namespace fuelring::test;

namespace {

/// With elevation, registration draws, attributes and, where asked for, parcels.
class RichCountryside : public Countryside {
public:
    explicit RichCountryside(bool with_parcels)
    {
        write_heights(0);
        config("inputs.elevation", "path") = toml_text(file("heights.tif"));
        config("uncertainty", "shift_m") = "2";
        config("uncertainty", "draws") = "4";
        write_multiplier("2");
        // A column that makes_layer wrote; every other structure counts as it is.
        config("inputs.structures", "attributes") =
            "[{column = 'structure_id', unknown = 1, multipliers = 'multipliers.csv'}]";
        config("output", "rank_by") = toml_text("exposure_x_susceptibility");
        if (!with_parcels)
            return;
        write_parcels("private");
        config("inputs.parcels", "path") = toml_text(file("parcels.gpkg"));
        config("inputs.parcels", "owner") = toml_text("owner");
    }
    /// A hillside, with a bump of `bump_m` below one pair of houses.
    void write_heights(double bump_m) const
    {
        fs::remove(file("heights.tif"));
        make_elevation(
            file("heights.tif"),
            {160, 160, {x0 - 32, 10, 0, y0 + 32, 0, -10}, 32611, [=](double x, double y) {
                 const bool on_bump = std::hypot(x - x0 - 80, y - y0 + 80) < 30;
                 return 500 + 0.2 * (x - x0) + 0.3 * std::abs(y - y0 + 700) +
                        (on_bump ? bump_m * (x - x0) / 80 : 0);
             }});
    }
    void write_multiplier(const std::string& of_first) const
    {
        write_text(file("multipliers.csv"),
                   "value,label,multiplier,source\nH-000,shingles," + of_first + ",invented\n");
    }
    /// `moved_m`: of the border between the first two.
    void write_parcels(const std::string& first_owner, double moved_m = 0) const
    {
        const auto border = [=](int k) { return x0 + 150 * k + (k == 1 ? moved_m : 0); };
        fs::remove(file("parcels.gpkg"));
        std::vector<Shape> parcels;
        for (int k = 0; k < 10; ++k)
            parcels.push_back({k == 0       ? first_owner
                               : k % 3 == 0 ? "crown"
                                            : "private",
                               rectangle_wkt(border(k), y0 - side, border(k + 1), y0)});
        make_layer(file("parcels.gpkg"), "GPKG", "owner", 32611, parcels);
    }
};

struct RichChange {
    std::string_view why;
    std::function<void(RichCountryside&)> make;
    bool with_parcels;
    std::int64_t measured, sloped, drawn; ///< structures computed again, at most
};

const std::vector<RichChange> rich_changes{
    {"one block of the raster",
     [](RichCountryside& c) {
         for (std::int64_t k = 0; k < 40; ++k)
             set_cell(c.file("fuel.tif"), 60 + k, 65 + k, conifer);
     },
     false, 100, 0, 100},
    {"a footprint moved",
     [](RichCountryside& c) {
         c.houses[0].wkt = rectangle_wkt(c.x0 + 61, c.y0 - 72, c.x0 + 74, c.y0 - 60);
         c.write_layers();
     },
     false, 80, 80, 80},
    {"heights changed", [](RichCountryside& c) { c.write_heights(8); }, false, 80, 200, 80},
    {"a multiplier changed", [](RichCountryside& c) { c.write_multiplier("3"); }, false, 0, 0, 0},
    {"other ranks are first", [](RichCountryside& c) { c.config("uncertainty", "first") = "3"; },
     false, 0, 0, 0},
    {"another shift", [](RichCountryside& c) { c.config("uncertainty", "shift_m") = "2.5"; }, false,
     0, 0, 200},
    {"other factors of rings on slopes",
     [](RichCountryside& c) {
         c.config("terrain", "factors") = "[{slope_deg = 0, down = 1}, {slope_deg = 30, down = 2}]";
     },
     false, 200, 0, 200},
    {"another unit of heights",
     [](RichCountryside& c) { c.config("inputs.elevation", "unit") = toml_text("ft"); }, false, 200,
     200, 200},
    {"one block of the raster, with parcels",
     [](RichCountryside& c) {
         for (std::int64_t k = 0; k < 40; ++k)
             set_cell(c.file("fuel.tif"), 60 + k, 65 + k, conifer);
     },
     true, 100, 0, 100},
    {"a footprint moved, with parcels",
     [](RichCountryside& c) {
         c.houses[0].wkt = rectangle_wkt(c.x0 + 61, c.y0 - 72, c.x0 + 74, c.y0 - 60);
         c.write_layers();
     },
     true, 80, 80, 80},
    {"another name, with parcels",
     [](RichCountryside& c) { c.config("community", "name") = toml_text("Larch Bank"); }, true, 0,
     0, 0},
    {"other workers, with parcels", [](RichCountryside& c) { c.config("run", "jobs") = "2"; }, true,
     0, 0, 0},
    {"a parcel was sold to a known owner", // those within 100 m of it, and their tiles
     [](RichCountryside& c) { c.write_parcels("crown"); }, true, 80, 0, 80},
    {"a border moved", [](RichCountryside& c) { c.write_parcels("crown", 3); }, true, 120, 0, 120},
    {"a parcel was sold to a new owner",
     [](RichCountryside& c) { c.write_parcels("municipal", 3); }, true, 200, 0, 200}};

} // namespace

TEST_CASE("slopes, draws, parcels and attributes are reused bit for bit, too")
{
    for (const bool with_parcels : {false, true}) {
        RichCountryside country{with_parcels};
        country.map();
        CHECK(country.outputs().count("slopes", "computed") == 200);
        CHECK(country.outputs().count("draws", "computed") == 200);
        for (const RichChange& change : rich_changes) {
            if (change.with_parcels != with_parcels)
                continue;
            CAPTURE(change.why);
            const Outputs before = country.outputs();
            change.make(country);
            country.map("out", {"--jobs", "3"});
            const Outputs reused = country.outputs();
            CHECK(reused.count("measures", "computed") <= change.measured);
            CHECK(reused.count("slopes", "computed") <= change.sloped);
            CHECK(reused.count("draws", "computed") <= change.drawn);
            CHECK(reused.same_as(country.fresh()));
            CHECK_FALSE(reused.same_as(before)); // the control: it was a change
        }
    }
}

namespace {

/// Parcels between the corners of an uneven grid, some of them nobody's, and houses on them.
class Cadastre : public Countryside {
public:
    explicit Cadastre(unsigned seed) : random_(seed)
    {
        for (int k = 0; k < corners * corners; ++k)
            moved_.push_back({off(), off()});
        for (int k = 0; k < (corners - 1) * (corners - 1); ++k)
            owners_.push_back(some_owner());
        config("inputs.parcels", "path") = toml_text(file("parcels.gpkg"));
        config("inputs.parcels", "owner") = toml_text("owner");
        write_parcels();
    }
    /// Changes one thing; says what.
    std::string change()
    {
        switch (below(5)) {
        case 0: {
            const double x = x0 + 30 + below(1440);
            const double y = y0 - 40 - below(1440);
            houses[static_cast<std::size_t>(below(200))].wkt = rectangle_wkt(x, y - 9, x + 12, y);
            write_layers();
            return "a house moved";
        }
        case 1:
            moved_[static_cast<std::size_t>(below(corners * corners))] = {off(), off()};
            write_parcels();
            return "a corner moved";
        case 2:
            owners_[static_cast<std::size_t>(below((corners - 1) * (corners - 1)))] = some_owner();
            write_parcels();
            return "a parcel was sold, or divided off";
        case 3:
            config("community", "name") = toml_text(fmt::format("Tamarack {}", below(1000)));
            return "another name";
        default:
            config("inputs.parcels", "private") = below(2) == 0 ? "['private']" : "['crown']";
            return "others are private";
        }
    }

private:
    static constexpr int corners = 15; ///< on each side; parcels of about 110 m

    int below(int bound) { return static_cast<int>(random_() % static_cast<unsigned>(bound)); }
    double off() { return 0.37 * below(80) - 15; }
    std::string some_owner()
    {
        constexpr const char* names[] = {"private", "private", "crown", "municipal", ""};
        return names[below(5)];
    }
    std::string corner(int row, int col) const
    {
        const auto [dx, dy] = moved_[static_cast<std::size_t>(row * corners + col)];
        return fmt::format("{} {}", x0 + 108 * col + dx, y0 - 108 * row + dy);
    }
    void write_parcels() const
    {
        fs::remove(file("parcels.gpkg"));
        std::vector<Shape> parcels;
        for (int row = 0; row + 1 < corners; ++row)
            for (int col = 0; col + 1 < corners; ++col)
                if (const std::string& owner =
                        owners_[static_cast<std::size_t>(row * (corners - 1) + col)];
                    !owner.empty())
                    parcels.push_back(
                        {owner, fmt::format("POLYGON (({0}, {1}, {2}, {3}, {0}))", corner(row, col),
                                            corner(row + 1, col), corner(row + 1, col + 1),
                                            corner(row, col + 1))});
        make_layer(file("parcels.gpkg"), "GPKG", "owner", 32611, parcels);
    }

    std::mt19937 random_;
    std::vector<std::pair<double, double>> moved_;
    std::vector<std::string> owners_;
};

} // namespace

TEST_CASE("with parcels of any shape, random changes reuse no more than stays the same")
{
    constexpr unsigned seed = 20261129;
    CAPTURE(seed);
    Cadastre country{seed};
    country.map();
    std::int64_t reused_in_all = 0;
    for (int turn = 0; turn < 14; ++turn) {
        CAPTURE(turn);
        const std::string what = country.change(); // CAPTURE evaluates where a check fails only
        CAPTURE(what);
        country.map();
        const Outputs reused = country.outputs();
        CHECK(reused.same_as(country.fresh()));
        reused_in_all += reused.count("measures", "reused");
    }
    CHECK(reused_in_all > 4 * 200); // it is of use
}

TEST_CASE("a set that is restored from a backup is gone on from, whatever the state is of")
{
    Countryside country;
    country.map();
    fs::copy(country.file("out"), country.file("backup"), fs::copy_options::recursive);
    set_cell(country.file("fuel.tif"), 61, 65, conifer);
    country.map();
    fs::remove_all(country.file("out"));
    fs::copy(country.file("backup"), country.file("out"), fs::copy_options::recursive);

    set_cell(country.file("fuel.tif"), 701, 702, conifer);
    const ProgramResult run = country.map(); // the state is of the set that is gone
    CHECK_FALSE(run.said("nothing changed"));
    const Outputs outputs = country.outputs();
    CHECK(outputs.same_as(country.fresh()));
    CHECK(outputs.count("measures", "reused") > 0);        // it is of use all the same
    CHECK(outputs.count("surface_blocks", "reused") == 0); // but for what lay in that set
}
