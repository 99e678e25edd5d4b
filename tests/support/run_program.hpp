// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <doctest/doctest.h>
#include <sys/types.h>

#include <chrono>
#include <cstdio>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace fuelring::test {

/// How a run of the program ended and what it said.
struct ProgramResult {
    int exit_code = 0; ///< 1000 + signal where a signal killed it, which it should outlive
    std::string out;   ///< standard output
    std::string err;   ///< standard error
    double seconds = 0;

    /// Lines of standard error that begin with "fuelring: error: ".
    std::vector<std::string> errors() const;
    bool said(std::string_view words) const { return err.find(words) != std::string::npos; }
};

/// The real program as a process of its own, its streams caught in files that nobody else sees.
class RunningProgram {
public:
    /// `launcher`: a command that runs what follows it, such as env VARIABLE=value.
    explicit RunningProgram(const std::vector<std::string>& arguments,
                            const std::vector<std::string>& launcher = {});
    ~RunningProgram(); ///< kills what nobody waited for
    RunningProgram(const RunningProgram&) = delete;
    RunningProgram& operator=(const RunningProgram&) = delete;

    void send(int signal) const;
    bool has_ended() const; ///< without reaping it
    /// Waits; what takes longer than `limit` is killed with SIGKILL (exit code 1009).
    ProgramResult wait(std::chrono::seconds limit = std::chrono::seconds{120});

private:
    struct FileClose {
        void operator()(std::FILE* file) const noexcept { std::fclose(file); }
    };
    using FilePtr = std::unique_ptr<std::FILE, FileClose>;

    FilePtr out_;
    FilePtr err_;
    pid_t pid_ = -1;
    std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
};

/// Runs the program to its end.
ProgramResult run_fuelring(const std::vector<std::string>& arguments,
                           const std::vector<std::string>& launcher = {});

/// Ends the test, with what the program said, where a run failed.
inline ProgramResult must_succeed(ProgramResult run)
{
    INFO(run.err);
    REQUIRE(run.exit_code == 0);
    return run;
}

} // namespace fuelring::test
