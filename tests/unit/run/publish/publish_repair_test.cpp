// SPDX-License-Identifier: Apache-2.0

// Promise 2 of publish.cpp: a run puts in order what an earlier one left when it died.
#include "publish_fixture.hpp"

#include <doctest/doctest.h>

using namespace fuelring;
using namespace fuelring::test;

namespace {

const std::string dead_run = "20260101T000000Z-1-00000000";

fs::path staging_of(const Parent& parent, const std::string& run_id)
{
    return parent.path / (".out.new." + run_id);
}

std::string run_id_of(const fs::path& out)
{
    return manifest_of(out).at("run_id");
}

} // namespace

TEST_CASE("2: staging of a run that died before the exchange goes, whatever is in it")
{
    for (const bool had_old_set : {false, true}) {
        CAPTURE(had_old_set);
        const Parent parent;
        if (had_old_set)
            publish(parent.out(), "old");
        put(staging_of(parent, dead_run) / "table.csv", "half");
        put(parent.path / ".out.state.new", "half");
        put(staging_of(parent, dead_run) / "table.csv.ovr.tmp", "half");
        fs::create_directory(parent.path / (".out.new." + dead_run + "-probe-a"));
        const Names notes = publish(parent.out(), "new");
        CHECK(names_in(parent.path) == Names{".out.lock", "out"});
        CHECK(names_in(parent.out()) == Names{"run.json", "table.csv"});
        CHECK(mentions(notes, dead_run));
    }
}

TEST_CASE("2: the old set of a run that died after the exchange gives back a user's files")
{
    const Parent parent;
    publish(parent.out(), "old");
    fs::copy(parent.out(), parent.path / "copy", fs::copy_options::recursive);
    publish(parent.out(), "new");
    // As the kernel leaves it: `out` is of the run whose staging name bears the old set.
    const fs::path stray = staging_of(parent, run_id_of(parent.out()));
    fs::rename(parent.path / "copy", stray);
    put(stray / "late.txt", "put there during the run");
    put(stray / "photos" / "gate.txt", "gate");
    const Names notes = publish(parent.out(), "next");
    CHECK(text_of(parent.out() / "late.txt") == "put there during the run");
    CHECK(text_of(parent.out() / "photos" / "gate.txt") == "gate");
    CHECK(text_of(parent.out() / "table.csv") == "next");
    CHECK(names_in(parent.path) == Names{".out.lock", "out"});
    CHECK(mentions(notes, "late.txt"));
}

TEST_CASE("2: an old set on its way out gives back what is newer than the copy, and no more")
{
    const Parent parent;
    publish(parent.out(), "old");
    put(parent.out() / "same.txt", "same");
    put(parent.out() / "edited.txt", "before");
    put(parent.out() / "deleted.txt", "no longer wanted");
    publish(parent.out(), "new");
    fs::copy(parent.out(), parent.path / (".out.del." + dead_run), fs::copy_options::recursive);
    put(parent.path / (".out.del." + dead_run) / "edited.txt", "after");
    fs::remove(parent.out() / "deleted.txt"); // the copy was there: this is the user's wish
    publish(parent.out(), "next");
    CHECK(text_of(parent.out() / "edited.txt") == "before");
    CHECK(text_of(parent.out() / ("edited.txt.kept-" + dead_run)) == "after");
    CHECK(text_of(parent.out() / "same.txt") == "same");
    CHECK_FALSE(fs::exists(parent.out() / "deleted.txt"));
    CHECK(names_in(parent.out()).size() == 5); // run.json, table.csv, same, edited and its kept
    CHECK(names_in(parent.path) == Names{".out.lock", "out"});
}

TEST_CASE("2: after a death between two renames the old set comes back first")
{
    const Parent parent;
    publish(parent.out(), "old");
    put(parent.out() / "notes.txt", "mine");
    fs::rename(parent.out(), parent.path / (".out.del." + dead_run));
    put(staging_of(parent, dead_run) / "table.csv", "new");
    {
        const Publication publication{parent.out()}; // the repair alone
        CHECK(text_of(parent.out() / "table.csv") == "old");
        CHECK(text_of(parent.out() / "notes.txt") == "mine");
        CHECK(mentions(publication.notes(), "brought back"));
    }
    CHECK(names_in(parent.path) == Names{".out.lock", "out"});
}

TEST_CASE("2: damage to the published set is said file by file")
{
    const Parent parent;
    publish(parent.out(), "12345");
    put(parent.out() / "table.csv", "12354"); // same size
    CHECK(mentions(Publication{parent.out()}.notes(), "table.csv is damaged: its SHA-256"));
    put(parent.out() / "table.csv", "123");
    CHECK(mentions(Publication{parent.out()}.notes(), "table.csv is damaged: 3 bytes"));
    fs::remove(parent.out() / "table.csv");
    CHECK(mentions(Publication{parent.out()}.notes(), "table.csv is missing"));
    fs::create_directory(parent.out() / "table.csv"); // stands for what cannot be read
    const Names notes = publish(parent.out(), "whole");
    CHECK(mentions(notes, "table.csv is damaged: is neither"));
    CHECK(manifest_of(parent.out()).at("notes") == notes);
    CHECK(Publication{parent.out()}.notes().empty());
}

TEST_CASE("2: a damaged run.json is said, and no file is lost for it")
{
    const Parent parent;
    publish(parent.out(), "old");
    for (const std::string_view damaged :
         {"", "{", "[]", R"({"generation": 1, "run_id": "x", "carried": [],
           "files": [{"name": "../../passwd", "size": 1, "sha256": ""}]})",
          // Numbers that no run writes: turned into whole ones they would be others.
          R"({"generation": 1e30, "run_id": "x", "carried": [], "files": []})",
          R"({"generation": 1e16, "run_id": "x", "carried": [], "files": []})",
          R"({"generation": -1, "run_id": "x", "carried": [], "files": []})",
          R"({"generation": 1.5, "run_id": "x", "carried": [], "files": []})",
          R"({"generation": 1, "run_id": "x", "carried": [], "files": [],
           "counts": {"structures": 1e300}})",
          R"({"generation": 1, "run_id": "x", "carried": [],
           "files": [{"name": "table.csv", "size": -1, "sha256": ""}]})"}) {
        CAPTURE(damaged);
        put(parent.out() / "run.json", std::string{damaged});
        CHECK(mentions(Publication{parent.out()}.notes(), "run.json is damaged"));
    }
    put(staging_of(parent, dead_run) / "late.txt", "whose?");
    const Names notes = publish(parent.out(), "new");
    CHECK(mentions(notes, "left in place"));
    CHECK(text_of(staging_of(parent, dead_run) / "late.txt") == "whose?");
    CHECK(text_of(parent.out() / "table.csv") == "new");
    CHECK(text_of(parent.out() / ("table.csv.kept-" + run_id_of(parent.out()))) == "old");
    CHECK(manifest_of(parent.out()).at("generation") == 1);
}

TEST_CASE("2: the names of another output folder are left alone")
{
    const Parent parent;
    fs::create_directory(parent.path / ".out.new.new.20260101T000000Z-1-0"); // of `out.new`
    fs::create_directory(parent.path / ".other.new.20260101T000000Z-1-0");
    put(parent.path / ".out.new.lock", "of `out.new` too");
    publish(parent.out(), "new");
    CHECK(names_in(parent.path).size() == 5);
}
