// SPDX-License-Identifier: Apache-2.0

// Promises 1 to 9 of publish.cpp under faults at every call that changes a file system.
#include "sweep.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cstdlib>

using namespace fuelring::faults;

namespace {

constexpr int calls_before_sealing = 35; ///< then come folder fsyncs, exchange, removal
constexpr int plausible_calls = 15;      ///< a sweep of fewer calls has missed some

/// True where faults cannot be tried; says why, which ctest shows as a skipped test.
bool skipped()
{
    // The leak checker of the address sanitizer wants to trace the program itself.
    ::setenv("ASAN_OPTIONS", "detect_leaks=0", 0);
    const std::string reason = why_no_tracing();
    if (!reason.empty())
        MESSAGE("SKIPPED: " << reason);
    return !reason.empty();
}

void check_sweep(const SweepPlan& plan)
{
    CAPTURE(plan.kind);
    CAPTURE(plan.rerun);
    CAPTURE(plan.program_kind);
    const SweepResult result = sweep(plan);
    for (const std::string& line : result.wrong)
        FAIL_CHECK(line);
    CHECK(result.ended > plausible_calls);
    CHECK(result.runs == (result.ended - plan.first) / plan.step); // each fault fired
}

const std::string kinds[] = {"kill", "term", "eio", "enospc", "enospc-on"};

} // namespace

TEST_CASE("a fault at a sample of calls leaves the old set or the new one")
{
    if (skipped())
        return;
    int first = 1;
    for (const std::string& kind : kinds)
        for (const bool rerun : {false, true})
            check_sweep({.kind = kind,
                         .rerun = rerun,
                         .first = first++,
                         .step = 17,
                         .second_kill_every = 3});
}

TEST_CASE("a fault at any call about the exchange leaves the old set or the new one")
{
    if (skipped())
        return;
    for (const std::string& kind : {std::string{"kill"}, std::string{"eio"}})
        check_sweep({.kind = kind, .rerun = true, .first = calls_before_sealing});
}

TEST_CASE("the sweep finds a program that writes in place")
{
    if (skipped())
        return;
    const SweepResult result = sweep({.kind = "kill", .program_kind = "in_place", .rerun = true});
    CHECK(std::any_of(result.wrong.begin(), result.wrong.end(), [](const std::string& line) {
        return line.find("the folder is broken") != std::string::npos;
    }));
}

TEST_CASE("the sweep finds a program that says 0 whatever happened")
{
    if (skipped())
        return;
    const SweepResult result =
        sweep({.kind = "enospc", .program_kind = "deaf", .rerun = true, .first = 8, .step = 6});
    CHECK(std::any_of(result.wrong.begin(), result.wrong.end(), [](const std::string& line) {
        return line.find("exit 0 with the set old") != std::string::npos;
    }));
}

TEST_CASE("one counter runs over all threads")
{
    if (skipped())
        return;
    const Scratch scratch;
    // Without its arguments the program does nothing; a sanitizer's own files are counted so.
    const Faulted idle = run_faulted(0, "count", {PUBLISH_SMALL});
    const Faulted run =
        run_faulted(0, "count", {PUBLISH_SMALL, scratch.path().string(), "x", "threads"});
    CHECK(run.exit_code == 0);
    CHECK(run.calls - idle.calls == 4 * 3); // openat, write, fsync in each of four threads
    CHECK(run.fired == 0);
}

TEST_SUITE("sweep" * doctest::skip())
{
    TEST_CASE("a fault at any call leaves the old set or the new one")
    {
        if (skipped())
            return;
        for (const std::string& kind : kinds)
            for (const bool rerun : {false, true})
                for (const char* program_kind : {"honest", "two_renames"})
                    check_sweep({.kind = kind,
                                 .program_kind = program_kind,
                                 .rerun = rerun,
                                 .second_kill_every = 2});
    }
}
