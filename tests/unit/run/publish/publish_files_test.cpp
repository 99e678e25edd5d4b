// SPDX-License-Identifier: Apache-2.0

// Promises 5 and 9 of publish.cpp: files of a user in the output folder.
#include "publish_fixture.hpp"

#include <doctest/doctest.h>

using namespace fuelring;
using namespace fuelring::test;

TEST_CASE("5: run.json names every file with size and digest and counts generations")
{
    const Parent parent;
    publish(parent.out(), "first");
    const auto first = manifest_of(parent.out());
    publish(parent.out(), "abc");
    const auto second = manifest_of(parent.out());
    CHECK(first.at("generation") == 1);
    CHECK(second.at("generation") == 2);
    CHECK(first.at("run_id") != second.at("run_id"));
    CHECK(second.at("schema_version") == 1);
    CHECK(second.at("swap") == "atomic");
    REQUIRE(second.at("files").size() == 1);
    CHECK(second.at("files")[0].at("name") == "table.csv");
    CHECK(second.at("files")[0].at("size") == 3);
    // Source: FIPS 180-4 example "abc".
    CHECK(second.at("files")[0].at("sha256") ==
          "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    CHECK(names_in(parent.out()) == Names{"run.json", "table.csv"});
}

TEST_CASE("5: files of a user are carried over with mode and time, in subfolders too")
{
    const Parent parent;
    publish(parent.out(), "old");
    put(parent.out() / "notes.txt", "mine");
    fs::permissions(parent.out() / "notes.txt", fs::perms{0600});
    put(parent.out() / "photos" / "gate.txt", "gate");
    fs::create_symlink("notes.txt", parent.out() / "link");
    const auto time = fs::last_write_time(parent.out() / "notes.txt");
    publish(parent.out(), "new");
    CHECK(text_of(parent.out() / "table.csv") == "new");
    CHECK(text_of(parent.out() / "notes.txt") == "mine");
    CHECK(fs::last_write_time(parent.out() / "notes.txt") == time);
    CHECK(fs::status(parent.out() / "notes.txt").permissions() == fs::perms{0600});
    CHECK(text_of(parent.out() / "photos" / "gate.txt") == "gate");
    CHECK(fs::read_symlink(parent.out() / "link") == "notes.txt");
    CHECK(manifest_of(parent.out()).at("carried").size() == 3);
}

TEST_CASE("5: a file of a user that bears a name of the set is kept under another")
{
    const Parent parent;
    put(parent.out() / "table.csv", "a table of my own");
    const Names notes = publish(parent.out(), "new");
    CHECK(text_of(parent.out() / "table.csv") == "new");
    const std::string id = manifest_of(parent.out()).at("run_id");
    CHECK(text_of(parent.out() / ("table.csv.kept-" + id)) == "a table of my own");
    CHECK(mentions(notes, "table.csv"));
}

TEST_CASE("5: what programs lay beside a file of the old set goes with it")
{
    const Parent parent;
    publish(parent.out(), "old");
    put(parent.out() / "table.csv-wal", "log of the old file");
    put(parent.out() / "table.csv.aux.xml", "statistics of the old file");
    put(parent.out() / "table.csvx", "mine");
    const Names notes = publish(parent.out(), "new");
    CHECK(names_in(parent.out()) == Names{"run.json", "table.csv", "table.csvx"});
    CHECK(mentions(notes, "table.csv-wal"));
}

TEST_CASE("9: what a user changed while the set was sealed is not removed with the old set")
{
    const Parent parent;
    publish(parent.out(), "old");
    put(parent.out() / "notes.txt", "first");
    int asked = 0;
    publish(parent.out(), "new", [&] {
        if (++asked == 2) { // after the copy was made
            put(parent.out() / "notes.txt", "second");
            put(parent.out() / "late.txt", "late");
        }
        return 0;
    });
    const std::string id = manifest_of(parent.out()).at("run_id");
    CHECK(text_of(parent.out() / "notes.txt") == "first");
    CHECK(text_of(parent.out() / ("notes.txt.kept-" + id)) == "second");
    CHECK(text_of(parent.out() / "late.txt") == "late");
    CHECK(names_in(parent.path) == Names{".out.lock", "out"});
}
