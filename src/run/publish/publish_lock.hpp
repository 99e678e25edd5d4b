// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/unique_fd.hpp"

#include <filesystem>

namespace fuelring {

/// The right to change an output folder: an flock on a file beside it, which is never removed.
/// The kernel frees it when the process ends in whatever way; the text inside (pid, host, time) is
/// for the message to others only.
class FolderLock {
public:
    /// Takes the lock or fails at once. `out` is named in the message.
    /// Throws: Error{locked} while another holds it; Error{output} where no lock can be made.
    FolderLock(const std::filesystem::path& lock_file, const std::filesystem::path& out);

private:
    UniqueFd fd_;
};

} // namespace fuelring
