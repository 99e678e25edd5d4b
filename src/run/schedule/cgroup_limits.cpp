// SPDX-License-Identifier: Apache-2.0

// A group is a folder, and so is the group that holds it: a bound stands in a small file of any of
// them, and the tightest counts. Threads beyond the share of CPU time only make each other wait,
// and memory beyond the bound ends the run by SIGKILL without a word.
#include "run/schedule/cgroup_limits.hpp"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <string>

namespace fuelring {

namespace fs = std::filesystem;

namespace {

/// The group of this process below the mount; "" for its root, also where nothing names one.
fs::path group_of(const fs::path& membership)
{
    std::ifstream lines{membership};
    for (std::string line; std::getline(lines, line);)
        if (line.starts_with("0::/")) // version 2; others have a number and controllers
            return fs::path{line.substr(4)}.lexically_normal();
    return {};
}

template <typename Number>
void tighten(std::optional<Number>& bound, Number other)
{
    bound = bound ? std::min(*bound, other) : other;
}

/// "200000 100000": microseconds of CPU time in each period; "max 100000" is no bound.
void read_cpu(const fs::path& folder, GroupBounds& bounds)
{
    std::ifstream file{folder / "cpu.max"};
    double quota = 0;
    double period = 0;
    if (file >> quota >> period && quota > 0 && period > 0)
        tighten(bounds.cpus, quota / period);
}

/// Bytes; "max" is no bound.
void read_memory(const fs::path& file_name, GroupBounds& bounds)
{
    std::ifstream file{file_name};
    std::uint64_t bytes = 0;
    if (file >> bytes && bytes > 0)
        tighten(bounds.memory_bytes, bytes);
}

} // namespace

GroupBounds group_bounds(const fs::path& mounted, const fs::path& membership)
{
    GroupBounds bounds;
    fs::path folder = mounted;
    const auto look = [&] {
        read_cpu(folder, bounds);
        read_memory(folder / "memory.max", bounds);
        read_memory(folder / "memory.high", bounds);
    };
    look();
    for (const fs::path& name : group_of(membership)) {
        if (name == "..") // a group outside what is mounted here
            break;
        folder /= name;
        look();
    }
    return bounds;
}

int default_workers(int cores, const GroupBounds& bounds)
{
    const int busy =
        bounds.cpus && *bounds.cpus < cores ? static_cast<int>(std::ceil(*bounds.cpus)) : cores;
    return std::max(busy, 1);
}

} // namespace fuelring
