// SPDX-License-Identifier: Apache-2.0

// Every message of the manual's table for `fuelring treat`, provoked through the program.
#include "end_to_end/messages.hpp"
#include "end_to_end/treat_runs.hpp"

#include <algorithm>
#include <set>

using namespace fuelring::test;

TEST_CASE("each wrong constraint of a plan gives its message and leaves the run as it was")
{
    PlannedHamlet hamlet;
    must_succeed(hamlet.run("treat"));
    const auto layer = [&](const char* name, const std::vector<Shape>& shapes) {
        make_layer(hamlet.folder() / name, "GPKG", "what", 32611, shapes);
        return fmt::format("{{ path = {} }}", toml_text(hamlet.folder() / name));
    };
    struct Wrong {
        std::string message, key, value;
    };
    const std::vector<Wrong> wrong{
        {"no parcel has the … '…'", "declined", "{ owners = ['Towne'] }"},
        {"no parcel has the … '…'", "declined", "{ parcels = ['P-17'], id = 'owner' }"},
        {"the layer has no polygons", "required", layer("empty.gpkg", {})},
        {"what is required costs …, and the budget is …", "required",
         layer("large.gpkg", {{"stand", rectangle_wkt(600050, 5600100, 600099, 5600150)}})},
        {"what is required does not fit into the years", "years",
         "[{ year = 2027, budget = 150 }, { year = 2028, budget = 150 }]"},
        {"the layer has no lines", "strips",
         layer("areas.gpkg", {{"area", rectangle_wkt(600080, 5600100, 600099, 5600110)}})},
        {"no land has the …", "limits", "[{ neighbourhood = 'Far Bank', at_least = 1 }]"},
        {"no plan was found with a …: it comes to …", "limits",
         "[{ owner = 'town', at_least = 1000 }]"}};
    std::set<std::string> provoked;
    const std::vector<MessageRow> rows = messages_of_manual("## Messages of treat");
    const auto before = bytes_below(hamlet.out());
    const ConfigFile right = hamlet.config;
    for (const Wrong& w : wrong) {
        CAPTURE(w.message);
        provoked.insert(w.message);
        const auto row = std::find_if(rows.begin(), rows.end(),
                                      [&](const MessageRow& r) { return r.message == w.message; });
        REQUIRE(row != rows.end());
        hamlet.config = right;
        hamlet.config("treat", w.key) = w.value;
        if (w.key == "strips")
            hamlet.config("treat", "shape") = "'strip'";
        if (w.key == "years") // less than the whole budget, more than a year's
            hamlet.config("treat", "required") =
                layer("belt.gpkg", {{"belt", rectangle_wkt(600080, 5600100, 600099, 5600110)}});
        check_refused(hamlet.run("treat"), row->exit_code, row->words());
        CHECK((bytes_below(hamlet.out()) == before));
    }
    CHECK(provoked.size() == rows.size());
}
