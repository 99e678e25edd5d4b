// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "sweep.hpp"

#include <filesystem>
#include <fstream>
#include <string>

namespace fuelring::faults {

/// Makes a small file system of a kind (ext4, xfs) in a file. False where this machine cannot.
inline bool make_image(const std::filesystem::path& image, const std::string& kind)
{
    constexpr std::uintmax_t image_bytes = 24 << 20;
    std::ofstream{image};
    std::filesystem::resize_file(image, image_bytes);
    if (kind == "xfs") // makes none so small but for its own tests, which say so by these
        return run_plain({"/usr/bin/env", "TEST_DIR=x", "TEST_DEV=x", "QA_CHECK_FS=1",
                          "/sbin/mkfs.xfs", "-q", image.string()}) == 0;
    return run_plain({"/sbin/mkfs." + kind, "-q", image.string()}) == 0;
}

/// A mounted image, unmounted with its scope.
class Mounted {
public:
    Mounted(const std::filesystem::path& image, const std::filesystem::path& folder)
        : folder_{folder}
    {
        std::filesystem::create_directories(folder);
        ok_ = run_plain({"/bin/mount", "-o", "loop", image.string(), folder.string()}) == 0;
    }
    ~Mounted()
    {
        if (ok_)
            run_plain({"/bin/umount", folder_.string()});
    }
    Mounted(const Mounted&) = delete;
    Mounted& operator=(const Mounted&) = delete;

    bool ok() const noexcept { return ok_; }
    std::filesystem::path out() const { return folder_ / "out"; }

private:
    std::filesystem::path folder_;
    bool ok_ = false;
};

} // namespace fuelring::faults
