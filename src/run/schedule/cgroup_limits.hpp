// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>

namespace fuelring {

/// What the control group of this process (a service, a container) lets it have; empty: no bound.
struct GroupBounds {
    std::optional<double> cpus; ///< CPU time a second, as cpu.max says; may be a fraction
    std::optional<std::uint64_t> memory_bytes; ///< the least of memory.max and memory.high
};

/// The tightest bounds of the group and of all groups that hold it, of cgroup v2. What cannot be
/// read or understood bounds nothing. `mounted` is where the groups are mounted, `membership` the
/// file that names the group. Reads the files at each call, since bounds may change while a
/// service runs.
/// Source: Linux, Documentation/admin-guide/cgroup-v2.rst.
GroupBounds group_bounds(const std::filesystem::path& mounted = "/sys/fs/cgroup",
                         const std::filesystem::path& membership = "/proc/self/cgroup");

/// Workers by default: one for each of `cores`, and no more than keep the group's share of CPU time
/// busy (a fraction counts whole); at least one.
int default_workers(int cores, const GroupBounds& bounds);

} // namespace fuelring
