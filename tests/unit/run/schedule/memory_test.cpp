// SPDX-License-Identifier: Apache-2.0
#include "run/schedule/memory.hpp"

#include <fuelring/error.hpp>

#include <doctest/doctest.h>

using namespace fuelring;

namespace {

/// A town of 20,000 structures on a tiled raster of 1 m.
MemoryNeeds town()
{
    return {.structures = 20'000,
            .vertices = 160'000,
            .addresses = 15'000,
            .reach_cells = 100,
            .blocks = {512, 512, 1, 24'000, 24'000}};
}

int least_mb(const MemoryNeeds& needs)
{
    for (int mb = 64;; ++mb)
        try {
            plan_memory(needs, 8, 512, MemoryLimit{mb});
            return mb;
        } catch (const Error&) {
        }
}

TEST_CASE("trials take memory for what they add to each structure")
{
    MemoryNeeds tried = town();
    tried.trial_figures = 4 * 6 + 2; // five stated trials and the expected shares, four rings
    const double more =
        plan_memory(tried, 8, 512, {}).bytes - plan_memory(town(), 8, 512, {}).bytes;
    CHECK(more >= 20'000.0 * 26 * sizeof(double));
    CHECK(more <= 20'000.0 * (26 * sizeof(double) + 1'000));
}

} // namespace

TEST_CASE("without a bound a run works as it was asked to")
{
    const MemoryPlan plan = plan_memory(town(), 8, 512, {});
    CHECK(plan.jobs == 8);
    CHECK(plan.tile_cells == 512);
}

TEST_CASE("any bound above the least is kept, with as much work at a time as it allows")
{
    const MemoryPlan free = plan_memory(town(), 8, 512, {});
    double before = 0;
    for (int mb = least_mb(town()); mb < free.bytes / 1e6 + 50; mb += 3) {
        CAPTURE(mb);
        const MemoryPlan plan = plan_memory(town(), 8, 512, MemoryLimit{mb});
        CHECK(plan.bytes <= mb * 1e6);
        CHECK(plan.jobs >= before);
        before = plan.jobs;
    }
    CHECK(before == 8);
}

TEST_CASE("a bound that one worker cannot keep is refused with the least that would do")
{
    const int least = least_mb(town());
    try {
        plan_memory(town(), 8, 512, MemoryLimit{least - 1});
        FAIL("accepted");
    } catch (const Error& e) {
        CHECK(e.kind() == Failure::usage);
        CHECK(e.where() == "run.memory_mb");
        CHECK(std::string{e.what()}.find(std::to_string(least) + " MB") != std::string::npos);
    }
}

TEST_CASE("memory does not grow with a tiled raster, and only so far with one of long rows")
{
    MemoryNeeds needs = town();
    const double small = plan_memory(needs, 2, 512, {}).bytes;
    needs.blocks.raster_cols *= 4;
    needs.blocks.raster_rows *= 4;
    CHECK(plan_memory(needs, 2, 512, {}).bytes == small);
    needs.blocks = {4'000'000, 1, 2, 4'000'000, 50'000}; // one block a row
    CHECK(plan_memory(needs, 2, 512, {}).bytes < small + 260e6);
}

TEST_CASE("registration draws take their memory, by structure and draw")
{
    MemoryNeeds drawn = town();
    drawn.draws = 1000;
    const double more =
        plan_memory(drawn, 8, 512, {}).bytes - plan_memory(town(), 8, 512, {}).bytes;
    CHECK(more >= 20'000.0 * 1000 * sizeof(double)); // exposures of all draws are held
    CHECK(more <= 20'000.0 * 1000 * sizeof(double) * 1.1);
}
