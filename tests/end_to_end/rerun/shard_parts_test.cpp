// SPDX-License-Identifier: Apache-2.0

// Parts that are missing, damaged or of another run: each message, and nothing is published.
#include "base/program/digest.hpp"
#include "end_to_end/messages.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <sys/stat.h>

#include <algorithm>
#include <cstring>
#include <functional>
#include <set>

using namespace fuelring::test;
using nlohmann::json;

namespace {

/// The hamlet in shards, with parts of two.
class ShardedHamlet : public MappedHamlet {
public:
    ShardedHamlet()
    {
        for (const char* shard : {"1/2", "2/2", "1/3"})
            make(shard);
    }
    void make(const std::string& shard, const std::string& parts = "parts") const
    {
        must_succeed(Hamlet::run("map", {"--shard", shard, "--out", folder() / parts}));
    }
    fs::path part(const std::string& name) const { return folder() / "parts" / name; }
    /// Merges and checks all that a failure promises.
    void refuses_merge(int exit_code, const std::vector<std::string>& words,
                       const std::vector<std::string>& parts) const
    {
        const auto before = bytes_below(out());
        const std::string names = names_in(folder());
        std::vector<std::string> files{"--full"};
        for (const std::string& name : parts)
            files.push_back(part(name));
        check_refused(Hamlet::run("merge", files), exit_code, words);
        CHECK((bytes_below(out()) == before));
        CHECK(names_in(folder()) == names);
    }
};

const std::string first = "shard-1-of-2.part", second = "shard-2-of-2.part";

/// The part with another head, sealed as if it had been written so.
std::string with_head(const std::string& part, const std::function<void(json&)>& change)
{
    constexpr std::size_t mark = 16, seal = 32;
    std::uint64_t size = 0;
    std::memcpy(&size, part.data() + mark, sizeof size);
    json head = json::parse(part.substr(mark + sizeof size, size));
    change(head);
    const std::string text = head.dump();
    const auto bytes_of = [](std::uint64_t number) {
        return std::string{reinterpret_cast<const char*>(&number), sizeof number};
    };
    const std::string record = bytes_of(text.size()) + text;
    const auto sealed = fuelring::raw_digest(bytes_of(0) + record);
    return part.substr(0, mark) + record +
           std::string{reinterpret_cast<const char*>(sealed.data()), sealed.size()} +
           part.substr(mark + sizeof size + size + seal);
}

const std::string no_local_file =
    "an input is not a plain local file, so that nobody can tell whether "
    "all shards read the same";

const std::string parts_inside = "the parts would lie inside the output folder …";

/// One way to get a message from merging first and second.
struct WrongParts {
    std::string message; ///< as in messages.md
    std::vector<std::string> names;
    std::function<void(ShardedHamlet&)> act = [](ShardedHamlet&) {};
    std::vector<std::string> parts{first, second};
};

WrongParts damaged(const std::vector<std::string>& names,
                   const std::function<std::string(std::string)>& damage)
{
    return {"the part is damaged: …", names, [damage](ShardedHamlet& hamlet) {
                write_text(hamlet.part(second), damage(text_of(hamlet.part(second))));
            }};
}

std::vector<WrongParts> wrong_parts()
{
    const auto head = [](const std::function<void(json&)>& change) {
        return [change](ShardedHamlet& hamlet) {
            write_text(hamlet.part(second), with_head(text_of(hamlet.part(second)), change));
        };
    };
    return {
        {"… of … shards are missing: …",
         {"1 of 2", "2/2", "run.toml", "--shard 2/2"},
         [](ShardedHamlet&) {},
         {first}},
        {"shard … is given twice, the first time as …",
         {"shard 1/2", "again.part"},
         [](ShardedHamlet& hamlet) {
             fs::copy_file(hamlet.part(first), hamlet.part("again.part"));
         },
         {first, second, "again.part"}},
        {"the part is shard …, and … is one of …",
         {"shard 1/3", "of 2", "shard-1-of-3.part"},
         [](ShardedHamlet&) {},
         {first, second, "shard-1-of-3.part"}},
        {"the part was made with another configuration",
         {second, "--shard 2/2"},
         [](ShardedHamlet& hamlet) {
             const ConfigFile right = hamlet.config;
             hamlet.config("rings", "near_m") = "1.5";
             hamlet.make("2/2");
             hamlet.config = right;
         }},
        {"the part was made from other inputs: …",
         {second, "inputs.fuel.path"},
         [](ShardedHamlet& hamlet) {
             const std::string right = text_of(hamlet.folder() / "fuel.tif");
             set_cell(hamlet.folder() / "fuel.tif", 150, 150, conifer);
             hamlet.make("2/2");
             write_text(hamlet.folder() / "fuel.tif", right);
         }},
        {"the part was made by another version of fuelring or of its libraries",
         {second},
         head([](json& h) { h["origin"]["program"] = "0"; })},
        {"the part's machine placed the structures otherwise than this one …",
         {second, "PROJ"},
         head([](json& h) { h["community"] = "0"; })},
        {"the part cannot be read: …",
         {"absent.part"},
         [](ShardedHamlet&) {},
         {first, "absent.part"}},
        {"the part cannot be read: …",
         {"piped.part", "it is a named pipe"},
         [](ShardedHamlet& hamlet) {
             REQUIRE(::mkfifo(hamlet.part("piped.part").c_str(), 0600) == 0);
         },
         {first, "piped.part"}},
        {"no part that this version of fuelring can read",
         {"fuel.tif"},
         [](ShardedHamlet&) {},
         {"../fuel.tif"}},
        damaged({"not what was written", second},
                [](std::string bytes) {
                    bytes[bytes.size() / 2] ^= 1;
                    return bytes;
                }),
        damaged({"it ends too soon", second},
                [](const std::string& bytes) { return bytes.substr(0, bytes.size() - 40); }),
        damaged({"beyond its end", second}, [](const std::string& bytes) { return bytes + "x"; }),
    };
}

} // namespace

TEST_CASE("every message about parts is in the manual and is provoked, and nothing is published")
{
    std::set<std::string> listed, provoked{"'…' is not a shard", no_local_file, parts_inside};
    const std::vector<MessageRow> rows = messages_of_manual("## Messages of shards");
    for (const MessageRow& row : rows)
        CHECK(listed.insert(row.message).second);
    ShardedHamlet hamlet;
    const auto right = bytes_below(hamlet.folder() / "parts");
    for (const WrongParts& wrong : wrong_parts()) {
        CAPTURE(wrong.message);
        provoked.insert(wrong.message);
        wrong.act(hamlet);
        const auto row = std::find_if(rows.begin(), rows.end(), [&](const MessageRow& r) {
            return r.message == wrong.message;
        });
        REQUIRE(row != rows.end());
        CHECK(row->exit_code == 3);
        std::vector<std::string> words = row->words();
        words.insert(words.end(), wrong.names.begin(), wrong.names.end());
        hamlet.refuses_merge(row->exit_code, words, wrong.parts);
        for (const auto& [name, bytes] : right)
            write_text(hamlet.folder() / "parts" / name, bytes);
    }
    CHECK(listed == provoked);
    CHECK(hamlet.run("merge", {hamlet.part(first), hamlet.part(second)}).exit_code == 0);
}

TEST_CASE("what is no shard, and inputs that nobody can compare, are refused before any work")
{
    MappedHamlet hamlet;
    for (const char* wrong : {"0/7", "8/7", "3", "3/", "/7", "a/b", "1/7x", "-1/7", "1/10001"})
        hamlet.refuses(2, {"is not a shard", "--shard"}, {"--shard", wrong});
    for (const fs::path& of : {hamlet.out(), hamlet.folder() / "elsewhere"}) // also another's set
        for (const fs::path& inside : {hamlet.out(), hamlet.out() / "parts" / "of today"}) {
            hamlet.config("output", "dir") = toml_text(of);
            hamlet.refuses(2, {"the parts would lie inside the output folder", hamlet.out()},
                           {"--shard", "1/2", "--out", inside});
        }
    hamlet.config("run", "remote_inputs") = "true";
    check_refused(hamlet.run("map", {"--shard", "1/2", "--out", hamlet.folder() / "parts"}), 2,
                  {no_local_file, "run.toml"});
}
