// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "support/temp_folder.hpp"

#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <string_view>

namespace fuelring::test {

/// Takes the lock of an output folder as another run would.
class ForeignLock {
public:
    explicit ForeignLock(const fs::path& file)
        : fd_{::open(file.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0666)}
    {
        REQUIRE(::flock(fd_, LOCK_EX | LOCK_NB) == 0);
        const std::string_view holder = "pid 4711 on elsewhere\n";
        REQUIRE(::ftruncate(fd_, 0) == 0);
        REQUIRE(::pwrite(fd_, holder.data(), holder.size(), 0) > 0);
    }
    ~ForeignLock() { ::close(fd_); }
    ForeignLock(const ForeignLock&) = delete;
    ForeignLock& operator=(const ForeignLock&) = delete;

private:
    int fd_;
};

} // namespace fuelring::test
