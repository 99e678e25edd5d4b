// SPDX-License-Identifier: Apache-2.0
#include "run/cache/cache_db.hpp"
#include "support/temp_folder.hpp"

#include <doctest/doctest.h>

#include <random>

using namespace fuelring;
using namespace fuelring::test;

namespace {

constexpr int row_count = 40;

StatePlace place_of(int k)
{
    return {k % 2, k / 2, -k};
}

RawDigest key_of(int k)
{
    return raw_digest("key " + std::to_string(k));
}

std::string result_of(int k)
{
    return std::string(static_cast<std::size_t>(100 * k), static_cast<char>('a' + k % 26));
}

void write_state(const fs::path& file)
{
    StateWriter state{file};
    for (int k = 0; k < row_count; ++k)
        state.keep(place_of(k), key_of(k), result_of(k));
    state.say("run", "the first");
    REQUIRE(state.finish().empty());
}

/// How many results are found; each that is found has to be the one that was kept.
int found_in(StateReader& state)
{
    int found = 0;
    for (int k = 0; k < row_count; ++k)
        if (const auto result = state.find(place_of(k), key_of(k))) {
            CHECK((*result == result_of(k)));
            ++found;
        }
    return found;
}

} // namespace

TEST_CASE("a state gives back what was kept under the same key at the same place")
{
    const TempFolder folder;
    const fs::path file = folder.path() / ".out.state";
    write_state(file);
    StateReader state{file};
    CHECK(state.why_not().empty());
    CHECK(found_in(state) == row_count);
    CHECK(state.fact("run") == "the first");
    CHECK_FALSE(state.fact("walk"));
    CHECK_FALSE(state.find(place_of(3), key_of(4)));
    CHECK_FALSE(state.find(place_of(4), key_of(3)));
    CHECK(state.damaged() == 0);
    CHECK_FALSE(fs::exists(file.string() + ".new"));
}

TEST_CASE("a damaged state gives right results or none")
{
    const TempFolder folder;
    const fs::path file = folder.path() / ".out.state";
    write_state(file);
    const std::string sound = text_of(file);
    std::mt19937 random{14};
    int lost = 0;
    for (int turn = 0; turn < 300; ++turn) {
        CAPTURE(turn);
        std::string bytes = sound;
        if (turn % 3 == 0)
            bytes.resize(random() % bytes.size());
        for (int k = 0; k < turn % 50 && !bytes.empty(); ++k)
            bytes[random() % bytes.size()] ^= static_cast<char>(1 + random() % 255);
        if (turn % 3 == 1) // the pages of the schema and of indices
            bytes[random() % 16384] ^= static_cast<char>(1 + random() % 255);
        write_text(file, bytes);
        StateReader state{file};
        lost += row_count - found_in(state);
        if (const auto run = state.fact("run"))
            CHECK(*run == "the first");
    }
    CHECK(lost > 1000); // damage was met
}

TEST_CASE("without a finish the earlier state stays, and nothing beside it")
{
    const TempFolder folder;
    const fs::path file = folder.path() / ".out.state";
    write_state(file);
    const std::string before = text_of(file);
    write_text(file.string() + ".new", "what a killed run left");
    {
        StateWriter state{file};
        state.keep(place_of(0), key_of(1), "other");
    }
    CHECK((text_of(file) == before));
    CHECK_FALSE(fs::exists(file.string() + ".new"));
}

TEST_CASE("a state that cannot be put in place says why and throws nothing")
{
    const TempFolder folder;
    const fs::path file = folder.path() / ".out.state";
    fs::create_directories(file / "occupied");
    StateWriter state{file};
    state.say("run", "x");
    CHECK_FALSE(state.finish().empty());
    StateReader reader{file};
    CHECK(reader.why_not() == "absent");
    StateWriter nowhere{folder.path() / "no folder" / ".out.state"};
    nowhere.keep(place_of(0), key_of(0), "x");
    CHECK_FALSE(nowhere.finish().empty());
}
