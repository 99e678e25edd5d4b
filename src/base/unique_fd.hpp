// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <unistd.h>

#include <utility>

namespace fuelring {

/// A file descriptor with one owner, closed with it. What close() says is lost there: who writes
/// takes the descriptor by `release` and closes it himself.
/// Throws nothing. Not for several threads.
class UniqueFd {
public:
    UniqueFd() = default;
    /// Of what open() returned: below 0 where that failed, with the reason in errno.
    explicit UniqueFd(int fd) noexcept : fd_(fd) {}
    UniqueFd(UniqueFd&& other) noexcept : fd_(other.release()) {}
    /// What this one held is closed with `other`.
    UniqueFd& operator=(UniqueFd&& other) noexcept
    {
        std::swap(fd_, other.fd_);
        return *this;
    }
    ~UniqueFd()
    {
        if (fd_ >= 0)
            ::close(fd_);
    }

    /// False where opening failed, and after release() or a move.
    explicit operator bool() const noexcept { return fd_ >= 0; }
    /// Stays with this owner; -1 where there is none.
    int get() const noexcept { return fd_; }
    /// Hands it to the caller, who closes it; -1 where there is none.
    int release() noexcept { return std::exchange(fd_, -1); }

private:
    int fd_ = -1;
};

} // namespace fuelring
