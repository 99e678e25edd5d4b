// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "end_to_end/refusal.hpp"
#include "support/read_outputs.hpp"

#include <doctest/doctest.h>
#include <sys/mount.h>

#include <cerrno>
#include <cstring>
#include <map>
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

/// A hamlet with a small disk in its folder, and with a run on it where it could be mounted.
class DiskHamlet : public MappedHamlet {
public:
    explicit DiskHamlet(const char* options) : disk{disk_folder(), options}, mounted{disk.mounted()}
    {
        if (!mounted)
            return;
        must_succeed(run("map", {"--out", disk_out()}));
        before = bytes_below(disk_out());
    }
    fs::path disk_folder() const { return folder() / "disk"; }
    fs::path disk_out() const { return disk_folder() / "out"; }

    const SmallDisk disk;
    const bool mounted;
    std::map<std::string, std::string> before; ///< what the run wrote
};

} // namespace fuelring::test
