// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "support/temp_folder.hpp"

#include <doctest/doctest.h>
#include <sys/mount.h>

#include <cerrno>
#include <cstring>
#include <string>

namespace fuelring::test {

/// A file system in memory, mounted on a folder while its scope lasts, if that is permitted.
class SmallDisk {
public:
    SmallDisk(const fs::path& folder, const char* options) : folder_{folder}
    {
        fs::create_directories(folder);
        mounted_ = ::mount("fuelring-test", folder.c_str(), "tmpfs", 0, options) == 0;
        reason_ = mounted_ ? "" : std::strerror(errno);
    }
    ~SmallDisk()
    {
        if (mounted_)
            ::umount2(folder_.c_str(), MNT_DETACH);
    }
    SmallDisk(const SmallDisk&) = delete;
    SmallDisk& operator=(const SmallDisk&) = delete;

    /// Says why where not.
    bool mounted() const
    {
        if (!mounted_)
            MESSAGE("SKIPPED: this process may not mount a file system: " << reason_);
        return mounted_;
    }
    bool make_read_only() const
    {
        return ::mount("fuelring-test", folder_.c_str(), "tmpfs", MS_REMOUNT | MS_RDONLY,
                       nullptr) == 0;
    }

private:
    fs::path folder_;
    std::string reason_;
    bool mounted_ = false;
};

} // namespace fuelring::test
