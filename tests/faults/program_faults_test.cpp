// SPDX-License-Identifier: Apache-2.0

// The real program under faults: `fuelring map` is hit at one of its calls that change the file
// system, then the output folder is looked at. The sample takes every so many calls; the whole
// sweep (ctest -L sweep) takes each.

#include "io/digest.hpp"
#include "support/hamlet.hpp"
#include "support/read_outputs.hpp"
#include "sweep.hpp"

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include <array>
#include <fstream>
#include <map>

using namespace fuelring;
using namespace fuelring::faults;
using fuelring::test::Hamlet;
namespace fs = std::filesystem;

namespace {

using Bytes = std::map<std::string, std::string>; // name -> sha256

Bytes digests_in(const fs::path& folder)
{
    Bytes digests;
    if (fs::is_directory(folder))
        for (const auto& entry : fs::directory_iterator{folder})
            digests[entry.path().filename()] = digest_of(entry.path()).sha256;
    return digests;
}

/// Generation of the set in `out` whose files are all there as run.json lists them; 0 if there is
/// no folder, -1 if the set is broken.
int sound_generation(const fs::path& out)
{
    if (!fs::exists(out))
        return 0;
    const auto manifest =
        nlohmann::json::parse(std::ifstream{out / "run.json"}, nullptr, /*exceptions*/ false);
    if (manifest.is_discarded())
        return -1;
    Bytes there = digests_in(out);
    there.erase("run.json");
    Bytes listed;
    for (const auto& file : manifest.at("files"))
        listed[file.at("name")] = file.at("sha256");
    const int generation = manifest.at("generation").get<int>();
    const std::size_t files = generation == 1 ? 9 : 11; // changes.csv comes with a rerun
    return there == listed && listed.size() == files ? generation : -1;
}

std::vector<std::string> map_command(const Hamlet& hamlet)
{
    hamlet.config.write(hamlet.config_file());
    return {FUELRING_PROGRAM, "map", hamlet.config_file().string(), "--full", "--jobs", "1"};
}

/// One fault on a rerun: the folder must hold the old or the new set whole, exit 0 means the new
/// one, and the next run leaves nothing behind. Returns false where the fault did not fire.
bool hit(const std::string& kind, int at)
{
    CAPTURE(kind);
    CAPTURE(at);
    const Hamlet hamlet;
    const auto command = map_command(hamlet);
    REQUIRE(run_plain(command) == 0);
    const Bytes old = digests_in(hamlet.out());
    const Faulted faulted = run_faulted(at, kind, command);
    CAPTURE(faulted.where);
    CAPTURE(faulted.exit_code);
    if (faulted.fired == 0)
        return false;
    const int generation = sound_generation(hamlet.out());
    CHECK((generation == 1 || generation == 2));
    if (generation == 1)
        CHECK(digests_in(hamlet.out()) == old);
    if (faulted.exit_code == 0)
        CHECK(generation == 2);
    CHECK(run_plain(command) == 0);
    CHECK(sound_generation(hamlet.out()) == generation + 1);
    for (const std::string& name : left_overs(hamlet.out())) // the inputs lie there too
        CHECK((name == ".out.state" || name.rfind(".out.", 0) == std::string::npos));
    return true;
}

const std::array<std::string, 5> kinds{"kill", "term", "eio", "enospc", "enospc-on"};

/// The fault at every `step`-th call, kinds in turn where `step` is above 1. How many fired.
int hit_every(int step)
{
    int fired = 0;
    std::size_t turn = 0;
    if (step > 1) {
        for (int at = 1; hit(kinds[turn++ % kinds.size()], at); at += step)
            ++fired;
        return fired;
    }
    for (const std::string& kind : kinds)
        for (int at = 1; hit(kind, at); ++at)
            ++fired;
    return fired;
}

} // namespace

TEST_CASE("a fault at any call of a run leaves the old set or the new one, never a mixture")
{
    if (const std::string reason = why_no_tracing(); !reason.empty()) {
        MESSAGE("SKIPPED: " << reason);
        return;
    }
#if defined(PROGRAM_IS_SANITIZED) // every call takes three runs of a program five times slower
    CHECK(hit_every(11) > 5);
#else
    CHECK(hit_every(4) > 10);
#endif
}

TEST_SUITE("sweep")
{
    TEST_CASE("a fault at each single call of a run" * doctest::skip())
    {
        REQUIRE(why_no_tracing().empty());
        const int fired = hit_every(1);
        MESSAGE("faults that fired: " << fired);
        CHECK(fired > 150);
    }
}
