// SPDX-License-Identifier: Apache-2.0

// The program inside a control group with a CPU quota and a memory limit. Where the machine lets a
// group be made, in a real one; else a folder of the same files stands in the place of the mount,
// seen by the program alone.
#include "support/hamlet.hpp"

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>
#include <unistd.h>

#include <thread>

using namespace fuelring::test;
using nlohmann::json;

namespace {

const fs::path mount{"/sys/fs/cgroup"};

class Group {
    TempFolder played_;
    fs::path real_ = mount / ("fuelring-test-" + std::to_string(::getpid()));
    bool is_real_ = false;

public:
    Group()
    {
        std::error_code error;
        is_real_ = fs::create_directory(real_, error) && fs::exists(real_ / "cpu.max") &&
                   fs::exists(real_ / "memory.max");
        MESSAGE(std::string{is_real_ ? "in a real group" : "a folder plays the mount"});
    }
    ~Group()
    {
        std::error_code error;
        fs::remove(real_, error);
    }
    Group(const Group&) = delete;
    Group& operator=(const Group&) = delete;

    void put(const char* file, const std::string& bound) const
    {
        write_text((is_real_ ? real_ : played_.path()) / file, bound + "\n");
    }
    /// Runs what follows inside.
    std::vector<std::string> launcher() const
    {
        if (is_real_)
            return {"sh", "-c", "echo $$ > \"$0/cgroup.procs\" && exec \"$@\"", real_};
        return {"unshare",
                "--mount",
                "sh",
                "-c",
                "mount --bind \"$0\" " + mount.string() + " && exec \"$@\"",
                played_.path()};
    }
};

bool group_can_be_had(const Hamlet& hamlet, const Group& group)
{
    if (std::thread::hardware_concurrency() < 2) {
        MESSAGE("SKIPPED: one core leaves nothing for a quota to take");
        return false;
    }
    const ProgramResult run = hamlet.run("check", {}, group.launcher());
    if (run.exit_code != 0)
        MESSAGE("SKIPPED: neither a group nor a mount of its own: " << run.err);
    return run.exit_code == 0;
}

} // namespace

TEST_CASE("a service keeps to its quota and its memory, says so, and gives the same bytes")
{
    const Hamlet hamlet;
    const Group group;
    if (!group_can_be_had(hamlet, group))
        return;
    REQUIRE(hamlet.run("map", {"--full"}).exit_code == 0);
    const std::string free = text_of(hamlet.out() / "addresses.csv");
    const auto limits_of_run = [&] {
        return json::parse(text_of(hamlet.out() / "run.json")).at("timings").at("limits");
    };
    CHECK(limits_of_run().at("workers_set_by") != "the CPU quota of the control group");

    group.put("cpu.max", "100000 100000");
    group.put("memory.max", "301989888"); // whole pages, which the kernel rounds to
    const json bounded = {{"workers", 1},
                          {"workers_set_by", "the CPU quota of the control group"},
                          {"memory_mb", 271},
                          {"memory_set_by", "the memory limit of the control group"}};
    const ProgramResult check = must_succeed(hamlet.run("check", {"--json"}, group.launcher()));
    CHECK(check.said("1 workers (the CPU quota of the control group), at most 271 MB of memory "
                     "(the memory limit of the control group)"));
    CHECK(json::parse(check.out).at("limits") == bounded);
    REQUIRE(hamlet.run("map", {"--full"}, group.launcher()).exit_code == 0);
    CHECK(limits_of_run() == bounded);
    CHECK((text_of(hamlet.out() / "addresses.csv") == free));

    REQUIRE(hamlet.run("map", {"--full", "--jobs", "2"}, group.launcher()).exit_code == 0);
    CHECK(limits_of_run().at("workers") == 2);
    CHECK(limits_of_run().at("workers_set_by") == "--jobs");
}

TEST_CASE("a group with too little memory is named before any work")
{
    Hamlet hamlet;
    const Group group;
    if (!group_can_be_had(hamlet, group))
        return;
    group.put("memory.max", "70254592"); // the program itself plans with 80 MB
    const ProgramResult run = hamlet.run("map", {}, group.launcher());
    CHECK(run.exit_code == 2);
    CHECK(run.said("the memory limit of the control group: 63 MB are too little"));
    CHECK_FALSE(fs::exists(hamlet.out()));
}
