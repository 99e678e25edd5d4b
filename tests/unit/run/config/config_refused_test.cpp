// SPDX-License-Identifier: Apache-2.0

// Configurations that are refused, each with file, line, key and what was expected.
#include "base/faults.hpp"
#include "config_texts.hpp"

#include <fmt/format.h>

#include <chrono>

using namespace fuelring;
using namespace fuelring::test;

namespace {

/// The smallest configuration with more lines in front of [output].
std::string more(const std::string& lines)
{
    return with("[output]", lines + "\n[output]");
}

} // namespace

TEST_CASE("a wrong configuration is refused with file, line, key and what was expected")
{
    struct Case {
        std::string_view why;
        std::string text;
        std::string_view says;
    };
    const auto rings = [](std::string_view lines) {
        return more("[rings]\n" + std::string{lines});
    };
    const auto run = [](std::string_view line) { return more("[run]\n" + std::string{line}); };
    const auto terrain = [](std::string_view rows) {
        return with("[output]", "[inputs.elevation]\npath = \"e\"\n[terrain]\nfactors = [" +
                                    std::string{rows} + "]\n[output]");
    };
    const Case cases[] = {
        {"no TOML", "[community\n", "line 1, column 11: no valid TOML: "},
        {"twice the same key", with("name = ", "name = \"x\"\nname = "), "no valid TOML: "},
        {"unknown table", with("[output]", "[outputs]"),
         "town.toml, line 8, outputs: unknown key; did you mean output?"},
        {"unknown key", with("path = \"data/fuel.tif\"", "pth = \"data/fuel.tif\""),
         "line 6, inputs.fuel.pth: unknown key; did you mean inputs.fuel.path?"},
        {"key of another table", with("dir = \"out\"", "dir = \"out\"\njoin_within_m = 3"),
         "output.join_within_m: unknown key; known here: dir, csv_bom, ring_outlines"},
        {"missing table", with("[community]\nname = \"Tamarack Bend\"\n", ""),
         "community: the key is missing: a table [community] is needed"},
        {"missing key", with("classes = \"classes.csv\"\n", ""),
         "line 5, inputs.fuel.classes: the key is missing: text is needed"},
        {"table that is none", with("[community]\nname = \"Tamarack Bend\"", "community = 3"),
         "line 1, community: a whole number where a table is expected"},
        {"number for text", with("name = \"Tamarack Bend\"", "name = 7"),
         "line 2, community.name: a whole number where text is expected"},
        {"empty text", with("name = \"Tamarack Bend\"", "name = \"\""),
         "line 2, community.name: the text is empty"},
        {"text for number", with("[inputs.fuel]", "min_area_m2 = \"15\"\n[inputs.fuel]"),
         "line 5, inputs.structures.min_area_m2: text where a number is expected"},
        {"negative area", with("[inputs.fuel]", "min_area_m2 = -1\n[inputs.fuel]"),
         "-1 where a number from 0 up is expected"},
        {"infinite area", with("[inputs.fuel]", "min_area_m2 = inf\n[inputs.fuel]"),
         "a number that is not finite"},
        {"band 0", more("band = 0"),
         "line 8, inputs.fuel.band: 0 where a whole number from 1 to 1000 is expected"},
        {"band 1.5", more("band = 1.5"),
         "a number where a whole number from 1 to 1000 is expected"},
        {"third choice", more("unknown_codes = \"skip\""),
         "inputs.fuel.unknown_codes: 'skip' is neither choice; write \"error\" or \"unmapped\""},
        {"attributes that are no list", more("[inputs.structures.attributes]"),
         "inputs.structures.attributes: a table where a list of tables is expected"},
        {"attribute without table", more("[[inputs.structures.attributes]]\ncolumn = \"roof\""),
         "inputs.structures.attributes.multipliers: the key is missing: text is needed"},
        {"multiplier of unknown values that calls them safe",
         with("[output]", "[[inputs.structures.attributes]]\ncolumn = \"r\"\nmultipliers = \"m\"\n"
                          "unknown = 0\n[output]"),
         "line 11, inputs.structures.attributes.unknown: a multiplier of 0 is out of range; "
         "multipliers are "
         "above"},
        {"ranks by what is not", with("dir = \"out\"", "dir = \"out\"\nrank_by = \"slope\""),
         "output.rank_by: 'slope' is neither choice; write \"exposure\" or"},
        {"ranks without multipliers",
         with("dir = \"out\"", "dir = \"out\"\nrank_by = \"exposure_x_susceptibility\""),
         "output.rank_by: nothing says how susceptible structures are; name columns and tables"},
        {"unit that is none", more("[inputs.elevation]\npath = \"e\"\nunit = \"cm\""),
         "line 10, inputs.elevation.unit: 'cm' is not a height unit; write \"m\", \"ft\" or "
         "\"us-ft\""},
        {"shift of nothing", more("[uncertainty]\nshift_m = 0"),
         "line 9, uncertainty.shift_m: a shift of 0 m is out of range; shifts are above 0 and "
         "below 100 m"},
        {"shift beyond reason", more("[uncertainty]\nshift_m = 100"),
         "line 9, uncertainty.shift_m: a shift of 100 m is out of range"},
        {"one draw", more("[uncertainty]\ndraws = 1"),
         "line 9, uncertainty.draws: 1 where a whole number from 2 to 1000 is expected"},
        {"too many draws", more("[uncertainty]\ndraws = 1001"),
         "line 9, uncertainty.draws: 1001 where"},
        {"first none", more("[uncertainty]\nfirst = 0"),
         "line 9, uncertainty.first: 0 where a whole number from 1"},
        {"first of neighbourhoods", more("[uncertainty]\nfirst_neighbourhoods = 'two'"),
         "line 9, uncertainty.first_neighbourhoods: text where a whole number from 1"},
        {"unknown key of uncertainty", more("[uncertainty]\ndraw = 4"),
         "line 9, uncertainty.draw: unknown key; did you mean uncertainty.draws?"},
        {"terrain without heights", more("[terrain]"),
         "line 8, terrain: rings cannot follow slopes without heights; name a raster"},
        {"factor below 1", terrain("{slope_deg = 3, down = 0.9}"),
         "line 11, terrain.factors.down: a ring factor of 0.9 is out of range; factors are 1 to "
         "10"},
        {"factor beyond reason", terrain("{slope_deg = 3, across = 11}"),
         "line 11, terrain.factors.across: a ring factor of 11 is out of range"},
        {"factor that is none", terrain("{slope_deg = 3, down = nan}"),
         "line 11, terrain.factors.down: a number that is not finite"},
        {"upright slope", terrain("{slope_deg = 90, down = 2}"),
         "line 11, terrain.factors.slope_deg: a slope of 90 degrees is out of range"},
        {"row without slope", terrain("{down = 2}"),
         "terrain.factors.slope_deg: the key is missing"},
        {"rows that do not rise", terrain("{slope_deg = 9}, {slope_deg = 9, down = 2}"),
         "line 11, terrain.factors.slope_deg: 9 does not rise above 9; list the rows from gentle"},
        {"row that is none", terrain("{slope_deg = 9}, 3"),
         "line 11, terrain.factors: a whole number in a list of tables"},
        {"unknown factor", terrain("{slope_deg = 9, up = 2}"),
         "line 11, terrain.factors.up: unknown key"},
        {"elevation without path", more("[inputs.elevation]\nband = 1"),
         "line 8, inputs.elevation.path: the key is missing"},
        {"addresses without column", more("[inputs.addresses]\npath = \"a\""),
         "line 8, inputs.addresses.text: the key is missing"},
        {"flag as text", with("dir = \"out\"", "dir = \"out\"\ncsv_bom = \"yes\""),
         "line 10, output.csv_bom: text where true or false is expected"},
        {"falling distances", rings("outer_m = [10, 1.5]\nweight = [1, 1]"),
         "line 9, rings.outer_m: 1.5 does not rise above 10"},
        {"equal distances", rings("outer_m = [10, 10]\nweight = [1, 1]"),
         "10 does not rise above 10"},
        {"distance 0", rings("outer_m = [0, 10]\nweight = [1, 1]"),
         "a ring distance of 0 m is out of range"},
        {"distance beyond reason", rings("outer_m = [20000]\nweight = [1]"),
         "a ring distance of 20000 m is out of range; distances are above 0 and at most 10000 m"},
        {"no distances", rings("outer_m = []"), "a list of numbers, not empty, is expected"},
        {"text among distances", rings("outer_m = [1, \"2\"]"), "text in a list of numbers"},
        {"negative weight", rings("weight = [1, 1, -0.5, 1]"),
         "line 9, rings.weight: -0.5 is negative; weights are 0 or more"},
        {"all weights 0", rings("weight = [0, 0, 0, 0]"), "all weights are 0"},
        {"weights that do not match", rings("outer_m = [5, 10]"), "4 weights for 2 distances"},
        {"near_m of no ring", rings("near_m = 12"),
         "line 9, rings.near_m: 12 is none of rings.outer_m; use one of 1.5, 10, 30, 100"},
        {"no command", run("also = [\"change\"]"),
         "line 9, run.also: 'change' is neither choice; write \"treat\", \"report\" or both"},
        {"no list", run("also = \"report\""), "run.also: text where a list is expected"},
        {"treat without a budget", run("also = [\"treat\"]"),
         "line 9, run.also: there is no table [treat] to plan by"},
        {"jobs", run("jobs = -1"), "-1 where a whole number from 0 to 1024 is expected"},
        {"tile", run("tile_cells = 8"), "8 where a whole number from 64 to 8192 is expected"},
        {"outputs over inputs", with("dir = \"out\"", "dir = \"data\""),
         "output.dir: inputs.structures.path lies inside the output folder"},
        {"outputs over this file", with("dir = \"out\"", "dir = \".\""),
         "output.dir: this file lies inside the output folder"},
        {"outputs far away", with("dir = \"out\"", "dir = \"/vsis3/bucket\""), "outputs are local"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        const std::string message = refusal(c.text);
        CAPTURE(message);
        CHECK(message.find("town.toml") != message.npos);
        CHECK(message.find(c.says) != message.npos);
    }
}

TEST_CASE("tens of thousands of unknown keys are all told, each once, and soon")
{
    std::string text;
    for (int k = 0; k < 20'000; ++k)
        text += fmt::format("k{} = 1\n", k);
    const ConfigFile file{text};
    const auto start = std::chrono::steady_clock::now();
    std::size_t told = 0;
    try {
        load_config(file.path);
    } catch (const Faults& faults) {
        told = faults.all().size();
    }
    CHECK(told >= 20'000);
    // It takes a tenth of a second; comparing each with all before it took more than a minute.
    CHECK(std::chrono::steady_clock::now() - start < std::chrono::seconds{20});
}

TEST_CASE("dots and brackets nest in keys and values, not in texts and comments")
{
    std::string dots = "a";
    for (int k = 0; k < 40; ++k)
        dots += ".a[{";
    const std::string key = "a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a"; // one part too many
    struct Case {
        std::string why, line;
        bool too_deep;
    };
    const Case cases[] = {
        {"a text", "name = \"" + dots + "\"", false},
        {"a text with quotes in it", "name = \"\\\"" + dots + "'\"", false},
        {"a literal text", "name = '" + dots + "\"'", false},
        {"a text of two lines", "name = \"\"\"a\n" + dots + "\"\"\"", false},
        {"a comment", "name = \"a\" # " + dots, false},
        {"a key", "name = \"a\"\n" + key + " = 1", true},
        {"a key behind a comment", "name = \"a\" # '\n" + key + " = 1", true},
        {"a key behind a text that ends in quotes",
         "name = \"a\"\nx = \"\"\"a\"\"\"\"\"\n" + key + " = 1", true},
        {"parts in quotes", "name = \"a\"\n\"a\" . 'b'" + key.substr(1) + " = 1", true},
        {"a heading", "name = \"a\"\n[" + key + "]", true},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        const std::string message = refusal(with("name = \"Tamarack Bend\"", c.line));
        CHECK((message.find("nested deeper than 16 levels") != message.npos) == c.too_deep);
        CHECK((message == "not refused") == !c.too_deep);
    }
}

TEST_CASE("a file that cannot be read is refused with the reason of the system")
{
    const ConfigFile file{smallest};
    const auto message = [](const std::filesystem::path& path) {
        try {
            load_config(path);
        } catch (const Error& e) {
            return e.message();
        }
        return std::string{};
    };
    CHECK(message(file.folder / "none.toml").find("No such file or directory") !=
          std::string::npos);
    CHECK(message(file.folder).find("it is a folder") != std::string::npos);
}
