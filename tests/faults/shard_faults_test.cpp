// SPDX-License-Identifier: Apache-2.0

// A shard is hit at each of its calls that change the file system: it leaves the part of before or
// the new one, whole, or none, and run again it leaves the bytes of a shard that nothing happened
// to.

#include "support/hamlet.hpp"
#include "sweep.hpp"

#include <doctest/doctest.h>

#include <array>

using namespace fuelring::faults;
using namespace fuelring::test;

namespace {

/// The first of two shards of the hamlet.
class ShardedHamlet : public Hamlet {
public:
    ShardedHamlet() { config.write(config_file()); }

    std::vector<std::string> command() const
    {
        return {FUELRING_PROGRAM, "map", config_file(), "--shard", "1/2",
                "--jobs",         "1",   "--full",      "--out",   folder() / "parts"};
    }
    fs::path part() const { return folder() / "parts" / "shard-1-of-2.part"; }
    std::string names() const
    {
        std::string names;
        for (const auto& [name, bytes] : bytes_below(folder() / "parts"))
            names += name + " ";
        return names;
    }
};

/// How often the fault fired.
int hit_every_call(const ShardedHamlet& hamlet, const std::string& kind, bool made_before,
                   const std::string& right)
{
    int fired = 0;
    for (int at = 1;; ++at) {
        CAPTURE(kind);
        CAPTURE(at);
        fs::remove_all(hamlet.folder() / "parts");
        if (made_before) {
            fs::create_directory(hamlet.folder() / "parts");
            write_text(hamlet.part(), "the part of before");
        }
        const Faulted faulted = run_faulted(at, kind, hamlet.command());
        CAPTURE(faulted.where);
        if (faulted.fired == 0)
            return fired;
        ++fired;
        const std::string left = fs::exists(hamlet.part()) ? text_of(hamlet.part()) : "none";
        CHECK((left == right || left == (made_before ? "the part of before" : "none")));
        if (faulted.exit_code == 0)
            CHECK((left == right));
        REQUIRE(run_plain(hamlet.command()) == 0);
        CHECK((text_of(hamlet.part()) == right));
        CHECK(hamlet.names() == ".shard-1-of-2.part.lock shard-1-of-2.part ");
    }
}

} // namespace

TEST_CASE("a shard that is killed leaves a whole part or none, and run again gives the same bytes")
{
    if (const std::string reason = why_no_tracing(); !reason.empty()) {
        MESSAGE("SKIPPED: " << reason);
        return;
    }
    const ShardedHamlet hamlet;
    REQUIRE(run_plain(hamlet.command()) == 0);
    const std::string right = text_of(hamlet.part());
    CHECK(hit_every_call(hamlet, "kill", false, right) > 10);
    CHECK(hit_every_call(hamlet, "enospc-on", true, right) > 10);
}
