// SPDX-License-Identifier: Apache-2.0

// What the machine does not give: room for the log, for files of any size, for more files, for
// memory; and two runs at once.
#include "end_to_end/refusal.hpp"
#include "end_to_end/small_disk.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <csignal>
#include <fstream>
#include <thread>

using namespace fuelring::test;
using namespace std::chrono_literals;

namespace {

/// Runs what follows with a stream of its own: "2>/dev/full".
std::vector<std::string> with_stream(const std::string& redirection)
{
    return {"/bin/sh", "-c", "exec \"$@\" " + redirection, "sh"};
}

/// Waits until a run has begun to work.
void wait_for_staging(const fs::path& folder)
{
    for (int tries = 0; tries < 10'000; ++tries) {
        if (names_in(folder).find(".out.new.") != std::string::npos)
            return;
        std::this_thread::sleep_for(1ms);
    }
    FAIL("the run never began");
}

int generation_in(const fs::path& out)
{
    return nlohmann::json::parse(text_of(out / "run.json")).at("generation").get<int>();
}

} // namespace

TEST_CASE("a log that nobody can write down does not stop a run")
{
    const Hamlet hamlet;
    CHECK(hamlet.run("map", {}, with_stream("2>/dev/full")).exit_code == 0);
    CHECK(generation_in(hamlet.out()) == 1);
}

TEST_CASE("a limit on the size of files ends a run with 4, whichever file meets it")
{
    const MappedHamlet hamlet;
    const auto before = bytes_below(hamlet.out());
    std::size_t largest = 0;
    for (const auto& entry : fs::directory_iterator{hamlet.out()})
        largest = std::max(largest, static_cast<std::size_t>(entry.file_size()));
    for (const std::size_t bytes :
         {std::size_t{0}, std::size_t{100}, std::size_t{4000}, std::size_t{20'000}, largest - 1}) {
        CAPTURE(bytes);
        const ProgramResult run =
            hamlet.run("map", {"--full"}, {"prlimit", fmt::format("--fsize={}", bytes)});
        INFO(run.err);
        CHECK(run.exit_code == 4);
        CHECK((bytes_below(hamlet.out()) == before));
        CHECK(names_in(hamlet.folder()).find(".out.new") == std::string::npos);
    }
    CHECK(hamlet.run("map", {"--full"}, {"prlimit", "--fsize=100000000"}).exit_code == 0);
}

TEST_CASE("a disk without room for more files ends a run with 4")
{
    const DiskHamlet hamlet{"size=8m,nr_inodes=40"};
    if (!hamlet.mounted)
        return;
    const fs::path folder = hamlet.disk_folder();
    const fs::path out = hamlet.disk_out();
    std::vector<fs::path> fillers;
    for (int k = 0;; ++k) {
        fillers.push_back(folder / fmt::format("filler{}", k));
        if (!std::ofstream{fillers.back()})
            break;
    }
    for (const int left : {0, 1, 3, 8}) { // files that there is room for
        CAPTURE(left);
        for (int k = 0; k < left; ++k)
            fs::remove(fillers.at(static_cast<std::size_t>(k)));
        const ProgramResult run = hamlet.run("map", {"--out", out, "--full"});
        INFO(run.err);
        CHECK(run.exit_code == 4);
        CHECK((bytes_below(out) == hamlet.before));
        for (int k = 0; k < left; ++k)
            std::ofstream{fillers.at(static_cast<std::size_t>(k))};
    }
    for (const fs::path& filler : fillers)
        fs::remove(filler);
    CHECK(hamlet.run("map", {"--out", out, "--full"}).exit_code == 0);
}

TEST_CASE("a limit on memory ends a run with an error or not at all, never with a crash")
{
    const MappedHamlet hamlet;
    const auto before = bytes_below(hamlet.out());
    int refused = 0;
    bool done = false;
    for (int mib = 110; mib <= 400; mib += 10) {
        CAPTURE(mib);
        const ProgramResult run =
            hamlet.run("map", {"--full", "--jobs", "1"},
                       {"prlimit", fmt::format("--as={}", std::int64_t{mib} << 20)});
        if (run.exit_code == 127) // too little to load the program's libraries
            continue;
        INFO(run.err);
        done = run.exit_code == 0;
        if (done)
            break;
        ++refused;
        CHECK((run.exit_code == 4 || run.exit_code == 3));
        CHECK((bytes_below(hamlet.out()) == before));
    }
    CHECK(refused > 0);
    CHECK(done);
}

TEST_CASE("of two runs started together one works and the other ends with 5 at once")
{
    const Hamlet hamlet;
    hamlet.config.write(hamlet.config_file());
    RunningProgram first{{"map", hamlet.config_file()}};
    wait_for_staging(hamlet.folder());
    first.send(SIGSTOP); // it is at work for as long as the test needs
    const ProgramResult second = hamlet.run("map");
    INFO(second.err);
    CHECK(second.exit_code == 5);
    CHECK(second.seconds < 5);
    first.send(SIGCONT);
    CHECK(first.wait().exit_code == 0);
    CHECK(generation_in(hamlet.out()) == 1);
}

TEST_CASE("a lock that a killed run left behind holds nothing up")
{
    const Hamlet hamlet;
    hamlet.config.write(hamlet.config_file());
    RunningProgram first{{"map", hamlet.config_file()}};
    wait_for_staging(hamlet.folder());
    first.send(SIGKILL);
    CHECK(first.wait().exit_code == 1009);
    CHECK(fs::exists(hamlet.folder() / ".out.lock"));
    const ProgramResult next = hamlet.run("map");
    INFO(next.err);
    CHECK(next.exit_code == 0);
    CHECK(names_in(hamlet.folder()).find(".out.new") == std::string::npos);
}
