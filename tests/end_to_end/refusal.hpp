// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "support/hamlet.hpp"

#include <doctest/doctest.h>

#include <string>
#include <vector>

namespace fuelring::test {

/// What every failure promises: its exit code, one message that names what it should, nothing on
/// standard output, earlier outputs as they were to the byte, and nothing left beside them.
inline void check_refused(const ProgramResult& run, int exit_code,
                          const std::vector<std::string>& words)
{
    INFO(run.err);
    CHECK(run.exit_code == exit_code);
    CHECK(run.out.empty());
    const std::vector<std::string> errors = run.errors();
    REQUIRE(errors.size() == 1);
    for (const std::string& word : words) {
        CAPTURE(word);
        CHECK(errors[0].find(word) != std::string::npos);
    }
}

/// A hamlet with good outputs, which a failing run has to leave alone.
class MappedHamlet : public Hamlet {
public:
    MappedHamlet() { must_succeed(Hamlet::run("map")); }

    /// Runs `map` and checks all that a failure promises.
    void refuses(int exit_code, const std::vector<std::string>& words,
                 const std::vector<std::string>& more = {}) const
    {
        config.write(config_file());
        const auto before = bytes_below(out());
        const std::string names = names_in(folder());
        check_refused(Hamlet::run("map", more), exit_code, words);
        CHECK((bytes_below(out()) == before));
        CHECK(names_in(folder()) == names);
    }
};

} // namespace fuelring::test
