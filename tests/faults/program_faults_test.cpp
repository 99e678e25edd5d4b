// SPDX-License-Identifier: Apache-2.0

// The real program under faults: `fuelring map` is hit at one of its calls that change the file
// system, then the output folder is looked at, and the next run. Five kinds of runs, five kinds of
// faults. The sample takes some calls of each; the whole sweep (ctest -L sweep) takes all.
#include "program_sweep.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>

using namespace fuelring::faults;
namespace fs = std::filesystem;

namespace {

#if defined(PROGRAM_IS_SANITIZED) // the program is five times slower
constexpr int faults_of_a_run = 4;
constexpr std::array sampled_runs{RunKind::nothing_changed, RunKind::also}; // also does all of it
#else
constexpr int faults_of_a_run = 5;
constexpr std::array sampled_runs = all_runs;
#endif

bool skipped()
{
    ::setenv("ASAN_OPTIONS", "detect_leaks=0", 0); // its leak checker wants to trace, too
    const std::string reason = why_no_tracing();
    if (!reason.empty())
        MESSAGE("SKIPPED: " << reason);
    return !reason.empty();
}

void check_counts(RunKind run, const SweepCounts& counts, int at_least)
{
    MESSAGE(text_of(run, counts));
    for (const std::string& line : counts.wrong)
        FAIL_CHECK(line);
    CHECK(counts.fired >= at_least);
}

bool has(const SweepCounts& counts, const std::string& words)
{
    return std::any_of(counts.wrong.begin(), counts.wrong.end(), [&](const std::string& line) {
        return line.find(words) != std::string::npos;
    });
}

} // namespace

TEST_CASE("a fault at a sample of calls of each kind of run leaves one whole set")
{
    if (skipped())
        return;
    int first = 3;
    for (const RunKind run : sampled_runs) {
        const int calls = calls_of(ProgramScene{run});
        const int step = std::max(2, calls / faults_of_a_run);
        check_counts(run, sweep_program(run, std::min(first++, step), step, 1),
                     std::min(faults_of_a_run, calls / step));
    }
}

// The controls: programs that do what no run may do.

TEST_CASE("a trial finds a program that writes in place")
{
    if (skipped())
        return;
    const ProgramScene scene{RunKind::reusing};
    const Scratch newer;
    scene.lay_out();
    REQUIRE(run_plain(scene.command()) == 0);
    CHECK(scene.found().what == Found::What::new_set);
    fs::copy(scene.out(), newer.path(), fs::copy_options::recursive);
    SweepCounts counts;
    for (const int at : {5, 10})
        try_fault(scene, {at, "kill"}, counts,
                  {"/bin/cp", "-r", newer.path().string() + "/.", scene.out().string()});
    CHECK(counts.fired == 2);
    CHECK(has(counts, "broken set: "));
}

TEST_CASE("a trial finds a program that says it is done whatever happened")
{
    if (skipped())
        return;
    const ProgramScene scene{RunKind::reusing};
    std::string words;
    for (const std::string& word : scene.command())
        words += "'" + word + "' ";
    SweepCounts counts;
    try_fault(scene, {40, "enospc-on"}, counts, {"/bin/sh", "-c", words + "; exit 0"});
    CHECK(counts.fired == 1);
    CHECK(has(counts, "done with the old set"));
}

TEST_CASE("the look at the folder finds one byte, and a file of the user's that is lost")
{
    const ProgramScene scene{RunKind::reusing};
    scene.lay_out();
    CHECK(scene.found().what == Found::What::old_set);
    fs::remove(scene.out() / "notes.txt");
    CHECK(scene.found().what == Found::What::broken);
    for (const char* name : {"addresses.csv", "priority.tif", "run.json"}) {
        CAPTURE(name);
        scene.lay_out();
        std::fstream{scene.out() / name, std::ios::in | std::ios::out | std::ios::binary}.write("#",
                                                                                                1);
        CHECK(scene.found().what == Found::What::broken);
    }
}

TEST_SUITE("sweep" * doctest::skip())
{
    TEST_CASE("a fault at each single call of each kind of run leaves one whole set")
    {
        if (skipped())
            return;
        constexpr int workers = 2;
        for (const RunKind run : all_runs)
            SUBCASE(name_of(run))
            {
                const SweepCounts counts = sweep_program(run, 1, 1, workers);
                check_counts(run, counts, counts.calls * static_cast<int>(fault_kinds().size()));
            }
    }
}
