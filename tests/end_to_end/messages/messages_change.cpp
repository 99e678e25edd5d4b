// SPDX-License-Identifier: Apache-2.0

// Every message of the manual's table for `fuelring change`, provoked through the program.
#include "end_to_end/messages.hpp"
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

    runs.map("half", {house, [](double x, double) { return x < 0 ? conifer : grass; }});
    const fs::path drawn =
        runs.changed("run", "run", "drawn", {"--draw-points", "60"}) / "reference_points.gpkg";
    const auto edited = [&](const std::string& name, const std::string& what) {
        fs::copy_file(drawn, runs.path(name));
        run_sql(runs.path(name), "UPDATE reference_points SET " + what);
        return runs.path(name).string();
    };
    const std::string judged = edited("judged.gpkg", "reference = 'unchanged'");
    const std::string far_rings =
        (runs.changed("other rings", "other rings", "drawn 20", {"--draw-points", "60"}) /
         "reference_points.gpkg")
            .string();
    run_sql(far_rings, "UPDATE reference_points SET reference = 'unchanged'");
    const std::string of_two = (runs.changed("run", "half", "drawn half", {"--draw-points", "60"}) /
                                "reference_points.gpkg")
                                   .string();
    run_sql(of_two,
            "UPDATE reference_points SET reference = map_class WHERE map_class = 'removed'");
    fs::copy_file(drawn, runs.path("none.gpkg"));
    run_sql(runs.path("none.gpkg"), "DELETE FROM reference_points");

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
         {"--matrix", runs.path("matrix.csv")}},
        {"… m is no distance of both runs: they have …",
         "run",
         "run",
         "new",
         {"--draw-points", "60", "--draw-within", "17"}},
        {"the layer has no reference points",
         "run",
         "run",
         "new",
         {"--points", runs.path("none.gpkg")}},
        {"'…' is no class of change",
         "run",
         "run",
         "new",
         {"--points", edited("a.gpkg", "reference = 'cut'")}},
        {"conifer_before and conifer_after are not two shares from 0 to 1",
         "run",
         "run",
         "new",
         {"--points", edited("b.gpkg", "conifer_before = 0.5, conifer_after = 1.2")}},
        {"the point is judged twice",
         "run",
         "run",
         "new",
         {"--points",
          edited("c.gpkg", "conifer_before = 1, conifer_after = 1, reference = 'removed'")}},
        {"map_class is empty",
         "run",
         "run",
         "new",
         {"--points", edited("d.gpkg", "map_class = NULL")}},
        {"it is no point", "run", "run", "new", {"--points", edited("e.gpkg", "geom = NULL")}},
        {"within_m is …, where the first point has …",
         "run",
         "run",
         "new",
         {"--points", edited("f.gpkg", "within_m = point_id")}},
        {"the points were drawn within … m, which is no distance of both runs",
         "run",
         "run",
         "new",
         {"--points", far_rings}},
        {"point … was drawn in class … within … m of the walls; in these runs its spot is …",
         "run",
         "half",
         "new",
         {"--points", judged}},
        {"no reference point is judged", "run", "run", "new", {"--points", drawn}},
        {"it was changed since its points were drawn, and this run would replace it",
         "run",
         "run",
         "drawn 20",
         {"--draw-points", "60"}},
        {"class … covers …% of the mapped land and has no reference points",
         "run",
         "half",
         "new",
         {"--points", of_two}}};
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
