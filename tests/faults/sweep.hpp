// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace fuelring::faults {

inline constexpr int exit_output = 4;
inline constexpr int exit_killed = 137;
inline constexpr int exit_terminated = 143;

/// A folder of its own under the system's temporary folder, removed with its scope.
class Scratch {
public:
    Scratch();
    ~Scratch();
    Scratch(const Scratch&) = delete;
    Scratch& operator=(const Scratch&) = delete;
    const std::filesystem::path& path() const noexcept { return path_; }

private:
    std::filesystem::path path_;
};

/// What fault_at said of one run.
struct Faulted {
    int exit_code = 0;
    int calls = 0;
    int fired = 0;
    std::string where; ///< "renameat2 /tmp/p/out"
};

/// Runs `command` under the fault; its output goes nowhere. Throws: std::runtime_error when the
/// tool fails.
Faulted run_faulted(int at, const std::string& kind, const std::vector<std::string>& command);

/// Exit code of `command` on its own; its output goes nowhere.
int run_plain(const std::vector<std::string>& command);

/// Empty if this machine lets a program be traced, else the reason.
std::string why_no_tracing();

/// "absent", the tag whose whole set the folder holds, or "broken: ..." with the reason. The
/// digests of the files must be those of small_set(tag) and those of run.json, and nothing else
/// may lie there but run.json and the user's files, of which all must be there if `user` is true.
std::string content_of(const std::filesystem::path& out, bool user);

/// What lies beside `out` other than its lock; sorted names.
std::vector<std::string> left_overs(const std::filesystem::path& out);

struct SweepPlan {
    std::string kind; ///< of the fault
    std::string program_kind = "honest";
    bool rerun = false;        ///< an old set with a user's files is there before
    int first = 1;             ///< the n of the first run
    int step = 1;              ///< n grows by this
    int second_kill_every = 0; ///< after every so many faults the next run is killed as well
};

struct SweepResult {
    int runs = 0;                   ///< in which the fault fired
    int ended = 0;                  ///< the n at which it fired no more
    std::vector<std::string> wrong; ///< one line for every promise broken
};

/// Raises n until the fault fires no more; after each run looks at the folder, then runs once
/// undisturbed and looks for left-overs.
SweepResult sweep(const SweepPlan& plan);

} // namespace fuelring::faults
