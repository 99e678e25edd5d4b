// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <sys/types.h>

#include <array>
#include <cstdint>
#include <optional>
#include <string>

namespace fuelring::faults {

/// A system call that changes a file system, as seen at its entry.
struct MutatingCall {
    std::string name;
    std::string target; ///< path, as the program gave it or as the kernel knows the descriptor
};

/// Reads call `number` of thread `tid`, which is stopped at the entry. Empty for a call that
/// changes no file: pipes, sockets, terminals and /dev do not count, nor does opening for reading.
/// Not seen: io_uring, and stores through a shared mapping.
std::optional<MutatingCall> mutating_call(pid_t tid, std::uint64_t number,
                                          const std::array<std::uint64_t, 6>& args);

} // namespace fuelring::faults
