// SPDX-License-Identifier: Apache-2.0

// Exit code 3: what corrections by visits can be like.
#include "end_to_end/messages.hpp"

namespace fuelring::test {

namespace {

constexpr const char* heading = "kind,structure_id,group,date,initials,wkt\n";

Provocation visits(const char* message, std::vector<std::string> names, const std::string& rows)
{
    names.emplace_back("visits.csv");
    return {message, std::move(names), [rows](MappedHamlet& hamlet) {
                write_text(hamlet.folder() / "visits.csv", heading + rows);
                hamlet.config("inputs.corrections", "path") =
                    toml_text(hamlet.folder() / "visits.csv");
                hamlet.config("inputs.corrections", "crs") = toml_text("EPSG:32611");
            }};
}

} // namespace

std::vector<Provocation> correction_provocations()
{
    const std::string good = "gone,A-3,,2026-05-31,AB,\n";
    std::string everywhere;
    for (int k = 0; k < 112; ++k) // of 90,000 cells each
        everywhere +=
            "conifer,,,2026-05-31,AB,\"" + rectangle_wkt(600000, 5600000, 600300, 5600300) + "\"\n";
    Provocation without_crs =
        visits("the file has no coordinate reference system", {"inputs.corrections.crs"},
               "conifer,,,2026-05-31,AB,POINT (600200 5600200)\n");
    without_crs.act = [act = without_crs.act](MappedHamlet& hamlet) {
        act(hamlet);
        hamlet.config.tables["inputs.corrections"].erase("crs");
    };
    std::string all_gone;
    for (const char* id : {"A-1", "A-2", "A-3", "A-4", "A-5"})
        all_gone += std::string{"gone,"} + id + ",,2026-05-31,AB,\n";
    Provocation nobody = visits("no structure is left: the corrections say that all are gone",
                                {"structures.gpkg", "inputs.corrections"}, all_gone);
    nobody.names.pop_back(); // it is said of the footprints
    return {visits("'…' is not a kind of correction", {"feature 2", "not_conifer"},
                   good + "felled,A-1,,2026-05-31,AB,\n"),
            visits("'…' is not a day: every row needs the date of its visit", {"feature 2"},
                   good + "gone,A-1,,,AB,\n"),
            visits("'…' is not a day: every row needs the date of its visit", {"2026-02-30"},
                   "gone,A-1,,2026-02-30,AB,\n"),
            visits("'…' are not initials: every row needs initials", {"feature 2"},
                   good + "gone,A-1,,2026-05-31,,\n"),
            visits("'…' of what? the row names no place", {"feature 1", "structure_id"},
                   "gone,,,2026-05-31,AB,POINT (600200 5600200)\n"),
            visits("'…' of what? the row names no place", {"feature 2", "polygon"},
                   good + "conifer,,,2026-05-31,AB,\n"),
            visits("'…' is not a group for land without conifers", {"feature 1", "mixed"},
                   "not_conifer,A-1,mixed,2026-05-31,AB,\n"),
            visits("'…' is not a shape", {"feature 1", "POLYGON"},
                   "conifer,,,2026-05-31,AB,near the hedge\n"),
            visits("the shape is neither polygon nor point", {"feature 1"},
                   "conifer,,,2026-05-31,AB,\"LINESTRING (600200 5600200, 600210 5600200)\"\n"),
            visits("the corrections speak of more than … cells: nobody visited them all",
                   {"feature 112"}, everywhere),
            nobody,
            without_crs};
}

} // namespace fuelring::test
