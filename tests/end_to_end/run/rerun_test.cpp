// SPDX-License-Identifier: Apache-2.0

// A second run into the same folder, and what run.json says about the files.
#include "support/hamlet.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <openssl/evp.h>

#include <array>
#include <set>

using namespace fuelring::test;
using nlohmann::json;

namespace {

std::string sha256_of(const std::string& bytes)
{
    std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
    unsigned length = 0;
    REQUIRE(EVP_Digest(bytes.data(), bytes.size(), digest.data(), &length, EVP_sha256(), nullptr));
    std::string text;
    for (unsigned k = 0; k < length; ++k)
        text += fmt::format("{:02x}", digest[k]);
    return text;
}

json manifest_in(const fs::path& out)
{
    return json::parse(text_of(out / "run.json"));
}

} // namespace

TEST_CASE("run.json lists each file of the set with the size and the checksum that it has")
{
    const Hamlet hamlet;
    REQUIRE(hamlet.run("map").exit_code == 0);
    std::set<std::string> listed;
    const json manifest = manifest_in(hamlet.out());
    for (const json& file : manifest.at("files")) {
        const auto name = file.at("name").get<std::string>();
        CAPTURE(name);
        const std::string bytes = text_of(hamlet.out() / name);
        CHECK(file.at("size") == bytes.size());
        CHECK(file.at("sha256") == sha256_of(bytes));
        listed.insert(name);
    }
    for (const char* name :
         {"priority.tif", "fuel_used.tif", "addresses.csv", "neighbourhoods.csv", "fuelring.gpkg"})
        CHECK(listed.contains(name));
    for (const auto& [name, bytes] : bytes_below(hamlet.out()))
        CHECK((name == "run.json" || listed.contains(name)));
    for (const auto& input : manifest.at("inputs").items()) {
        const std::string role = input.key();
        const json& file = input.value();
        CAPTURE(role);
        CHECK(file.at("sha256") == sha256_of(text_of(file.at("path").get<std::string>())));
    }
    CHECK(manifest.at("inputs").size() == 4); // fuel, its classes, structures, addresses
}

TEST_CASE("a rerun keeps a user's own file, raises the generation and leaves nothing else behind")
{
    Hamlet hamlet;
    REQUIRE(hamlet.run("map").exit_code == 0);
    const json first = manifest_in(hamlet.out());
    CHECK(first.at("generation") == 1);
    write_text(hamlet.out() / "my notes.txt", "ask the Larch Way about the hedge");
    const auto before = bytes_below(hamlet.out());
    const std::string names = names_in(hamlet.folder());

    REQUIRE(hamlet.run("map", {"--full"}).exit_code == 0);
    const json second = manifest_in(hamlet.out());
    CHECK(second.at("generation") == 2);
    CHECK(second.at("run_id") != first.at("run_id"));
    CHECK(text_of(hamlet.out() / "my notes.txt") == "ask the Larch Way about the hedge");
    CHECK(names_in(hamlet.folder()) == names);
    auto after = bytes_below(hamlet.out());
    CHECK(after.size() == before.size() + 2); // changes.csv and its types
    // The same inputs: all but run.json and history.csv, which hold times, is the same again.
    for (const auto& [name, bytes] : before)
        if (name != "run.json" && name != "history.csv")
            CHECK((after[name] == bytes));

    hamlet.config("rings", "near_m") = "30";
    hamlet.config("rings", "outer_m") = "[1.5, 30]";
    hamlet.config("rings", "weight") = "[1, 1]";
    REQUIRE(hamlet.run("map").exit_code == 0);
    CHECK(manifest_in(hamlet.out()).at("generation") == 3);
    CHECK((text_of(hamlet.out() / "addresses.csv") != before.at("addresses.csv")));
    CHECK(fs::exists(hamlet.out() / "my notes.txt"));
}
