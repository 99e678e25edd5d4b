// SPDX-License-Identifier: Apache-2.0

// A folder held against its checksums. Every kind of difference, alone and with others.
#include "end_to_end/messages.hpp"
#include "support/hamlet.hpp"

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include <functional>
#include <string_view>

using namespace fuelring::test;
using nlohmann::json;

namespace {

/// A run with a file of the user's, published with it.
class PublishedHamlet : public Hamlet {
public:
    PublishedHamlet()
    {
        must_succeed(run("map"));
        write_text(out() / "notes.txt", "mine");
        must_succeed(run("map", {"--full"}));
    }
    ProgramResult verify(const std::vector<std::string>& more = {}) const
    {
        std::vector<std::string> words{"verify", out().string()};
        words.insert(words.end(), more.begin(), more.end());
        return run_fuelring(words);
    }
};

/// Another byte in the middle of a file.
void change_byte(const fs::path& file)
{
    std::string text = text_of(file);
    text[text.size() / 2] ^= 1;
    write_text(file, text);
}

} // namespace

TEST_CASE("a folder as it was published is whole, and verify leaves every byte of it")
{
    const PublishedHamlet hamlet;
    const auto before = bytes_below(hamlet.folder());
    const ProgramResult run = must_succeed(hamlet.verify());
    CHECK((bytes_below(hamlet.folder()) == before));
    const json manifest = json::parse(text_of(hamlet.out() / "run.json"));
    const std::size_t files = manifest.at("files").size();
    CHECK(run.said("all " + std::to_string(files) + " files are as run.json says"));
    CHECK(run.said(manifest.at("run_id").get<std::string>() + ", generation 2"));

    const json found = json::parse(must_succeed(hamlet.verify({"--json", "--jobs", "1"})).out);
    CHECK(found.at("whole") == true);
    CHECK(found.at("files") == files);
    CHECK(found.at("kind") == "map");
    for (const char* key : {"missing", "changed", "added", "yours_changed"})
        CHECK(found.at(key).empty());
    CHECK(run.said(found.at("run_json_sha256").get<std::string>()));
    change_byte(hamlet.out() / "fuelring.gpkg");
    CHECK(json::parse(hamlet.verify({"--json"}).out).at("run_json_sha256") ==
          found.at("run_json_sha256"));
}

TEST_CASE("what is missing, changed or added is told by name; only the first two are failures")
{
    struct Case {
        std::string_view why;
        std::function<void(const fs::path&)> act;
        int exit_code;
        std::vector<std::string> missing, changed, added, yours;
    };
    const auto erase = [](const char* name) {
        return [name](const fs::path& out) { fs::remove(out / name); };
    };
    const auto damage = [](const char* name) {
        return [name](const fs::path& out) { change_byte(out / name); };
    };
    const auto add = [](const char* name) {
        return [name](const fs::path& out) {
            fs::create_directories((out / name).parent_path());
            write_text(out / name, "new");
        };
    };
    const Case cases[] = {
        {"a table is gone", erase("addresses.csv"), 3, {"addresses.csv"}, {}, {}, {}},
        {"a byte differs", damage("priority.tif"), 3, {}, {"priority.tif"}, {}, {}},
        {"a file is cut short",
         [](const fs::path& out) { fs::resize_file(out / "fuelring.gpkg", 100); },
         3,
         {},
         {"fuelring.gpkg"},
         {},
         {}},
        {"a folder bears the name of a file",
         [](const fs::path& out) {
             fs::remove(out / "history.csv");
             fs::create_directory(out / "history.csv");
         },
         3,
         {},
         {"history.csv"},
         {},
         {}},
        {"a file more", add("deep/extra.txt"), 0, {}, {}, {"deep/extra.txt"}, {}},
        {"what another program lays beside a file",
         add("fuelring.gpkg-wal"),
         0,
         {},
         {},
         {"fuelring.gpkg-wal"},
         {}},
        {"the user's file is another", damage("notes.txt"), 0, {}, {}, {}, {"notes.txt"}},
        {"the user's file is gone", erase("notes.txt"), 0, {}, {}, {}, {"notes.txt"}},
        {"all of it",
         [&](const fs::path& out) {
             erase("addresses.csv")(out);
             damage("neighbourhoods.csv")(out);
             damage("priority.tif")(out);
             add("extra.txt")(out);
             erase("notes.txt")(out);
         },
         3,
         {"addresses.csv"},
         {"neighbourhoods.csv", "priority.tif"},
         {"extra.txt"},
         {"notes.txt"}},
    };
    const PublishedHamlet hamlet;
    const fs::path whole = hamlet.folder() / "whole";
    fs::copy(hamlet.out(), whole, fs::copy_options::recursive);
    for (const Case& c : cases) {
        CAPTURE(c.why);
        fs::remove_all(hamlet.out());
        fs::copy(whole, hamlet.out(), fs::copy_options::recursive);
        c.act(hamlet.out());
        const ProgramResult run = hamlet.verify({"--json"});
        CHECK(run.exit_code == c.exit_code);
        const json found = json::parse(run.out);
        CHECK(found.at("whole") == (c.exit_code == 0));
        CHECK(found.at("missing") == json(c.missing));
        CHECK(found.at("changed") == json(c.changed));
        CHECK(found.at("added") == json(c.added));
        CHECK(found.at("yours_changed") == json(c.yours));
        CHECK(run.errors().size() == c.missing.size() + c.changed.size());
        for (const auto& names : {c.missing, c.changed, c.added, c.yours})
            for (const std::string& name : names)
                CHECK(run.said((hamlet.out() / name).string()));
    }
}

TEST_CASE("verify says what a folder is not")
{
    const PublishedHamlet hamlet;
    std::string said;
    const auto fails = [&](const fs::path& folder) {
        const ProgramResult run = run_fuelring({"verify", folder});
        CHECK(run.exit_code == 3);
        CHECK(run.out.empty());
        said += run.err;
    };
    fails(hamlet.folder());
    fails(hamlet.folder() / "nowhere");
    const std::string manifest = text_of(hamlet.out() / "run.json");
    for (const std::string& text :
         {manifest.substr(0, manifest.size() / 2), std::string{"{}"}, std::string{"[1, 2]"}}) {
        write_text(hamlet.out() / "run.json", text);
        fails(hamlet.out());
    }
    write_text(hamlet.out() / "run.json", manifest);
    fs::remove(hamlet.out() / "addresses.csv");
    change_byte(hamlet.out() / "priority.tif");
    write_text(hamlet.out() / "neighbourhoods.csv", "cut");
    write_text(hamlet.out() / "fuelring.gpkg-wal", "");
    write_text(hamlet.out() / "extra.txt", "");
    change_byte(hamlet.out() / "notes.txt");
    fails(hamlet.out());
    for (const MessageRow& row : messages_of_manual("## Messages of verify")) {
        CAPTURE(row.message);
        CHECK(row.exit_code ==
              (row.message.starts_with("no run") || row.message.starts_with("a file") ? 0 : 3));
        for (const std::string& words : row.words())
            CHECK(said.find(words) != said.npos);
    }
}
