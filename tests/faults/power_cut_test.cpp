// SPDX-License-Identifier: Apache-2.0

// Promises 4, 6 and 8 of publish.cpp under a power cut. The output folder lies on ext4 or XFS
// inside an image file. The program is killed at a call and the image is copied while it is
// mounted: the copy holds what had reached the disk, and is mounted and looked at. Needs the right
// to mount.
#include "disk_image.hpp"
#include "small_set.hpp"
#include "sweep.hpp"

#include <doctest/doctest.h>

#include <fstream>

namespace fs = std::filesystem;
using namespace fuelring::faults;

namespace {

constexpr int fewest_calls = 15;

/// A disk with an old set and a user's files on it, all of them safe.
class Disk {
public:
    explicit Disk(const std::string& kind)
    {
        if (!make_image(image_, kind))
            return;
        const Mounted disk{image_, scratch_.path() / "mount"};
        if (!disk.ok() || run_plain({PUBLISH_SMALL, disk.out().string(), "old"}) != 0)
            return;
        for (const auto& [name, bytes] : user_files) {
            fs::create_directories((disk.out() / name).parent_path());
            std::ofstream{disk.out() / name} << bytes;
        }
        ok_ = true;
    }

    bool ok() const noexcept { return ok_; }

    /// Publishes `new` under the fault and cuts the power when the program has ended. `content` is
    /// what the disk then holds, `next` what it holds after one more run.
    struct Cut {
        Faulted run;
        std::string content, next;
        std::vector<std::string> left_over;
    };
    Cut cut(int at, const std::string& kind) const
    {
        const fs::path used = scratch_.path() / "used", saved = scratch_.path() / "saved";
        constexpr auto over = fs::copy_options::overwrite_existing;
        Cut cut;
        fs::copy_file(image_, used, over);
        {
            const Mounted disk{used, scratch_.path() / "mount"};
            cut.run = run_faulted(at, kind, {PUBLISH_SMALL, disk.out().string(), "new"});
            fs::copy_file(used, saved, over);
        }
        const Mounted disk{saved, scratch_.path() / "mount"};
        cut.content = content_of(disk.out(), true);
        run_plain({PUBLISH_SMALL, disk.out().string(), "next"});
        cut.next = content_of(disk.out(), true);
        for (const std::string& name : left_overs(disk.out()))
            if (name != "lost+found")
                cut.left_over.push_back(name);
        return cut;
    }

private:
    Scratch scratch_;
    fs::path image_ = scratch_.path() / "image";
    bool ok_ = false;
};

/// True where it cannot be tried; says why.
bool power_cut_skipped(const Disk& disk, const std::string& kind)
{
    const std::string reason =
        disk.ok() ? why_no_tracing() : "an image of " + kind + " cannot be made and mounted here";
    if (!reason.empty())
        MESSAGE("SKIPPED: " << reason);
    return !reason.empty();
}

} // namespace

TEST_SUITE("power cut" * doctest::skip())
{
    TEST_CASE("a power cut at any call leaves the old set or the new one, exit 0 the new one")
    {
        for (const std::string kind : {"ext4", "xfs"}) {
            CAPTURE(kind);
            const Disk disk{kind};
            if (power_cut_skipped(disk, kind))
                continue;
            for (int at = 1;; ++at) {
                CAPTURE(at);
                const Disk::Cut cut = disk.cut(at, "kill");
                CAPTURE(cut.run.where);
                CHECK_MESSAGE((cut.content == "old" || cut.content == "new"), cut.content);
                CHECK(cut.next == "next");
                CHECK(cut.left_over.empty());
                if (cut.run.fired != 0)
                    continue;
                CHECK(cut.run.exit_code == 0);
                CHECK(cut.content == "new");
                CHECK(at > fewest_calls);
                MESSAGE(kind << ": power cut at each of " << at - 1 << " calls and at the end");
                break;
            }
        }
    }

    TEST_CASE("the power cut finds a program that says 0 before the set is on the disk")
    {
        for (const std::string kind : {"ext4", "xfs"}) {
            CAPTURE(kind);
            const Disk disk{kind};
            if (power_cut_skipped(disk, kind))
                continue;
            const Disk::Cut cut = disk.cut(1, "lost-syncs");
            CHECK(cut.run.fired > 0);
            CHECK(cut.run.exit_code == 0);
            CHECK_MESSAGE(cut.content != "new", cut.content);
        }
    }
}
