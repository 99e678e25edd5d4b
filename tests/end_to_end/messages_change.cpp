// SPDX-License-Identifier: Apache-2.0

// Every message of the manual's table for `fuelring change`, provoked through the program.
#include "messages.hpp"
#include "support/change_runs.hpp"
#include "support/records.hpp"

#include <algorithm>
#include <set>

using namespace fuelring::test;

namespace {

int all_conifer(double, double)
{
    return conifer;
}

/// One wrong comparison.
struct WrongChange {
    std::string message;
    std::string before, after, out;
    std::vector<std::string> more{};
};

} // namespace

TEST_CASE("each wrong comparison gives its message and writes nothing")
{
    const ChangeRuns runs;
    const std::vector<Shape> house{square_house("H", 0, 0)};
    runs.map("run", {house, all_conifer});
    runs.map("other rings",
             {.structures = house, .code_at = all_conifer, .rings = "[2, 20]", .weight = "[1, 1]"});
    runs.map("other town", {{square_house("H", 80, 80)}, all_conifer});
    runs.map("cut short", {house, all_conifer});
    fs::resize_file(runs.path("cut short") / "fuel_used.tif", 4000);
    fs::create_directory(runs.path("empty"));
    const fs::path compared = runs.changed("run", "run", "compared");
    write_text(runs.path("matrix.csv"), "map_class,conifer,other\nconifer,9,1\nother,1,9\n");

    const RecordShape strip{"A", "2024-05-01", "thinning", 10.0, 0, 0, 9, 9};
    RecordShape unpaid = strip;
    unpaid.cost = -1;
    write_records(runs.path("none.geojson"), {});
    write_records(runs.path("twice.geojson"), {strip, strip});
    write_records(runs.path("negative.geojson"), {unpaid});
    RecordShape boundless = strip;
    boundless.cost = 1e308;
    write_records(runs.path("boundless.geojson"), {boundless});

    const std::vector<WrongChange> wrong{
        {"it is the folder of a run of fuelring map", "run", "run", "run"},
        {"not a run folder: it has no run.json", "empty", "run", "new"},
        {"not a folder made by fuelring map: it has no …", "run", "compared", "new"},
        {"… is damaged: …", "cut short", "run", "new"},
        {"the runs have no ring distance in common: …", "other rings", "run", "new"},
        {"no structure of one run is found in the other", "other town", "run", "new"},
        {"no class of change with a share",
         "run",
         "run",
         "new",
         {"--sample-se", "0.01", "--expect", "cut=0.7"}},
        {"the share must lie between 0 and 1",
         "run",
         "run",
         "new",
         {"--sample-se", "0.01", "--expect", "removed=1.2"}},
        {"no accuracy is expected of …",
         "run",
         "run",
         "new",
         {"--sample-se", "0.01", "--expect", "removed=0.7"}},
        {"two accuracies are expected of …",
         "run",
         "run",
         "new",
         {"--sample-se", "0.01", "--expect", "removed=0.7", "--expect", "removed=0.8"}},
        {"the layer has no treated polygons",
         "run",
         "run",
         "new",
         {"--records", runs.path("none.geojson")}},
        {"the record id '…' appears twice",
         "run",
         "run",
         "new",
         {"--records", runs.path("twice.geojson"), "--record-id", "id"}},
        {"the cost '…' is not an amount of money",
         "run",
         "run",
         "new",
         {"--records", runs.path("negative.geojson")}},
        {"the cost '…' is not an amount of money",
         "run",
         "run",
         "new",
         {"--records", runs.path("boundless.geojson")}},
        {"the classes are …; a matrix of change has …",
         "run",
         "run",
         "new",
         {"--matrix", runs.path("matrix.csv")}}};
    std::set<std::string> provoked;
    const std::vector<MessageRow> rows = messages_of_manual("## Messages of change");
    for (const WrongChange& w : wrong) {
        CAPTURE(w.message);
        provoked.insert(w.message);
        const auto row = std::find_if(rows.begin(), rows.end(),
                                      [&](const MessageRow& r) { return r.message == w.message; });
        REQUIRE(row != rows.end());
        const auto before = bytes_below(runs.path("run"));
        check_refused(runs.change(w.before, w.after, w.out, w.more), row->exit_code, row->words());
        CHECK_FALSE(fs::exists(runs.path("new")));
        CHECK((bytes_below(runs.path("run")) == before));
    }
    CHECK(provoked.size() == rows.size());
}
