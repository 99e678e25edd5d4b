// SPDX-License-Identifier: Apache-2.0

// Every message of the manual's table for `fuelring report`, provoked through the program.
#include "end_to_end/messages.hpp"
#include "support/change_runs.hpp"

#include <sys/stat.h>

#include <algorithm>

using namespace fuelring::test;

namespace {

/// The English words of sheets with a part of them replaced.
std::string english_with(std::string_view part, const std::string& by)
{
    const fs::path texts = sample_data().parent_path() / "config" / "texts";
    std::string text = text_of(texts / "english.toml");
    return text.replace(text.find(part), part.size(), by);
}

} // namespace

TEST_CASE("each wrong report gives its message and writes nothing")
{
    const ChangeRuns runs;
    const std::vector<Shape> house{square_house("H", 0, 0)};
    runs.map("run", {house, [](double, double) { return int{conifer}; }});
    runs.map("other", {house, [](double, double) { return int{mixed}; }});

    runs.changed("other", "other", "compared");
    write_text(runs.path("logo.png"), "no picture");
    Scene marked{house, [](double, double) { return int{conifer}; }};
    marked.logo = runs.path("logo.png");
    runs.map("marked", marked);
    // Pictures below the map: of 16 bits, of somewhere else, and damaged.
    const auto below = [&](const std::string& name, const fs::path& picture) {
        Scene scene{house, [](double, double) { return int{conifer}; }};
        scene.backdrop = picture;
        runs.map(name, scene);
    };
    below("deep", runs.path("run") / "fuel_used.tif");
    make_fuel(runs.path("far.tif"),
              {400, 400, {500000, 1, 0, 5500000, 0, -1}, 32611, [](std::int64_t, std::int64_t) {
                   return int{conifer};
               }});
    below("far", runs.path("far.tif"));
    std::string bytes = text_of(runs.path("run_inputs") / "fuel.tif");
    bytes.replace(bytes.size() / 2, 64, std::string(64, '\xff'));
    write_text(runs.path("damaged.tif"), bytes);
    below("damaged", runs.path("damaged.tif"));

    make_layer(runs.path("streets.gpkg"), "GPKG", "name", 32611,
               {{"Far Street", "LINESTRING (500000 5500000, 500100 5500000)"}});
    Scene streets{house, [](double, double) { return int{conifer}; }};
    streets.context = {{runs.path("streets.gpkg"), "streets"}};
    runs.map("streets", streets);

    write_text(runs.path("braces.toml"), english_with("is {distance}", "is {metres}"));
    std::string words;
    for (int k = 0; k < 2000; ++k)
        words += "wood ";
    write_text(runs.path("long.toml"), english_with("Observe burning bans.", words));

    struct Wrong {
        std::string message;
        std::vector<std::string> more;
        std::string run = "run";
    };
    const std::vector<Wrong> wrong{
        {"it is the folder of another run of fuelring map", {"--out", runs.path("other")}},
        {"no address, structure or neighbourhood of this run is called …",
         {"--sheets", "Nowhere 1"}},
        {"{…} is not known here, but …", {"--text", runs.path("braces.toml")}},
        {"the words leave no room for the plans on one page",
         {"--sheets", "all", "--text", runs.path("long.toml")}},
        {"the logo cannot be read: …", {"--sheets", "all"}, "marked"},
        {"the backdrop's bands are not of 8 bits", {}, "deep"},
        {"the backdrop does not meet the community", {}, "far"},
        {"the backdrop cannot be read: …", {}, "damaged"},
        {"no line or area of it lies in the community", {}, "streets"},
        {"fewer than … structures have an exposure: …", {"--public"}},
        {"no folder of fuelring change", {"--change", runs.path("other")}},
        {"its later run is not the one that is reported", {"--change", runs.path("compared")}}};
    const std::vector<MessageRow> rows = messages_of_manual("## Messages of report");
    for (const Wrong& w : wrong) {
        CAPTURE(w.message);
        const auto row = std::find_if(rows.begin(), rows.end(),
                                      [&](const MessageRow& r) { return r.message == w.message; });
        REQUIRE(row != rows.end());
        std::vector<std::string> arguments{"report", runs.path(w.run)};
        arguments.insert(arguments.end(), w.more.begin(), w.more.end());
        const auto before = bytes_below(runs.path(w.run));
        const auto other = bytes_below(runs.path("other"));
        check_refused(run_fuelring(arguments), row->exit_code, row->words());
        CHECK((bytes_below(runs.path(w.run)) == before));
        CHECK((bytes_below(runs.path("other")) == other));
    }
    CHECK(wrong.size() == rows.size());

    REQUIRE(::mkfifo(runs.path("piped.toml").c_str(), 0600) == 0); // nobody writes into it
    check_refused(run_fuelring({"report", runs.path("run"), "--sheets", "all", "--text",
                                runs.path("piped.toml")}),
                  2, {"piped.toml", "it is a named pipe"});
}
