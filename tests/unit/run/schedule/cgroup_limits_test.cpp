// SPDX-License-Identifier: Apache-2.0
#include "run/schedule/cgroup_limits.hpp"
#include "run/schedule/memory.hpp"
#include "support/temp_folder.hpp"

#include <fuelring/error.hpp>

#include <doctest/doctest.h>

#include <fstream>
#include <limits>
#include <map>
#include <string_view>

using namespace fuelring;
namespace fs = std::filesystem;

namespace {

/// The mount of cgroup v2 as a folder of files.
class Groups {
    test::TempFolder folder_;

public:
    void put(const fs::path& name, std::string_view text) const
    {
        const fs::path file = folder_.path() / "mounted" / name;
        fs::create_directories(file.parent_path());
        std::ofstream{file} << text << '\n';
    }
    GroupBounds bounds_in(std::string_view membership) const
    {
        std::ofstream{folder_.path() / "membership"} << membership << '\n';
        return group_bounds(folder_.path() / "mounted", folder_.path() / "membership");
    }
};

} // namespace

TEST_CASE("a service has the CPU time and the memory that its group and those above leave it")
{
    const Groups groups;
    groups.put("system.slice/cpu.max", "800000 100000");
    groups.put("system.slice/memory.max", "3000000000");
    groups.put("system.slice/night.service/cpu.max", "150000 100000");
    groups.put("system.slice/night.service/memory.max", "4000000000");
    groups.put("system.slice/night.service/memory.high", "max");
    const GroupBounds bounds = groups.bounds_in("0::/system.slice/night.service");
    REQUIRE(bounds.cpus);
    CHECK(*bounds.cpus == 1.5);
    CHECK(bounds.memory_bytes == 3'000'000'000u); // the slice has less than it gives
    CHECK(*groups.bounds_in("0::/system.slice").cpus == 8);
}

TEST_CASE("a container's bounds stand at the root of what it sees mounted")
{
    const Groups groups;
    groups.put("cpu.max", "50000 100000");
    groups.put("memory.high", "1000000000");
    for (const std::string_view seen : {"0::/", "0::/../other", "12:cpu:/old\n0::/"}) {
        CAPTURE(seen);
        const GroupBounds bounds = groups.bounds_in(seen);
        CHECK(bounds.cpus == 0.5);
        CHECK(bounds.memory_bytes == 1'000'000'000u);
    }
}

TEST_CASE("what says max, is missing or makes no sense bounds nothing")
{
    const Groups groups;
    groups.put("a/cpu.max", "max 100000");
    groups.put("a/memory.max", "max");
    groups.put("b/cpu.max", "0 0");
    groups.put("b/memory.max", "plenty");
    for (const std::string_view group : {"0::/a", "0::/b", "0::/c", "", "1:memory:/a"}) {
        CAPTURE(group);
        CHECK_FALSE(groups.bounds_in(group).cpus);
        CHECK_FALSE(groups.bounds_in(group).memory_bytes);
    }
    CHECK_FALSE(group_bounds("/nowhere", "/nowhere/else").cpus);
}

TEST_CASE("workers by default keep the group's CPU time busy and are no more than cores")
{
    struct Case {
        std::string_view why;
        int cores;
        std::optional<double> cpus;
        int workers;
    };
    const Case cases[] = {{"no bound", 8, {}, 8},
                          {"a fraction counts whole", 8, 1.5, 2},
                          {"whole", 8, 3.0, 3},
                          {"less than one", 8, 0.2, 1},
                          {"more than there are", 2, 64, 2}};
    for (const Case& c : cases) {
        CAPTURE(c.why);
        CHECK(default_workers(c.cores, {c.cpus, {}}) == c.workers);
    }
}

TEST_CASE("workers that somebody asked for stand, whatever the group says")
{
    const GroupBounds half_a_core{0.5, {}};
    CHECK(workers_of(0, 0, half_a_core) == 1);
    CHECK(workers_of(0, 6, half_a_core) == 6);
    CHECK(workers_of(3, 0, half_a_core) == 3);
    CHECK(workers_of(3, 6, half_a_core) == 6);
}

TEST_CASE("a run plans for nine tenths of the group's memory, or for less where it is told so")
{
    const GroupBounds two_gb{{}, 2'000'000'000};
    CHECK_FALSE(memory_limit({}, {}));
    const auto by_group = memory_limit({}, two_gb);
    REQUIRE(by_group);
    CHECK(by_group->mb == 1800);
    CHECK(by_group->set_by != "run.memory_mb");
    CHECK(memory_limit(500, two_gb)->mb == 500);
    CHECK(memory_limit(500, two_gb)->set_by == "run.memory_mb");
    CHECK(memory_limit(5000, two_gb)->mb == 1800); // the group's bound kills, the other only plans
    const GroupBounds boundless{{}, std::numeric_limits<std::uint64_t>::max()};
    CHECK_FALSE(memory_limit({}, boundless)); // more than any machine has
}

TEST_CASE("a group too small for one worker is refused before the work, and is named")
{
    const MemoryNeeds needs{
        .structures = 20'000, .reach_cells = 100, .blocks = {512, 512, 1, 24'000, 24'000}};
    try {
        plan_memory(needs, 4, 512, MemoryLimit{70, "the control group"});
        FAIL("accepted");
    } catch (const Error& e) {
        CHECK(e.exit_code() == 2);
        CHECK(e.message().find("the control group: 70 MB are too little") != std::string::npos);
    }
}
