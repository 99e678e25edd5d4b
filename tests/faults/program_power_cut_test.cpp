// SPDX-License-Identifier: Apache-2.0

// The real program under a power cut: the output folder lies on a file system inside an image; the
// program is killed at a call and the image is copied while it is mounted. The copy holds what had
// reached the disk: it is mounted in the image's place, looked at, and run on again.
#include "disk_image.hpp"
#include "program_sweep.hpp"

#include <doctest/doctest.h>
#include <fcntl.h>
#include <unistd.h>

#include <memory>
#include <optional>

using namespace fuelring::faults;
namespace fs = std::filesystem;

namespace {

constexpr int about_so_many_cuts = 60; ///< of each kind of run and file system

/// A scene whose outputs lie on a disk of its own.
class ProgramDisk {
public:
    ProgramDisk(const std::string& kind, RunKind run)
    {
        if (!make_image(image_, kind) || !mount(image_))
            return;
        scene_.emplace(run, disk_->out());
        ok_ = true;
    }
    bool ok() const noexcept { return ok_; }
    const ProgramScene& scene() const { return *scene_; }

    struct Cut {
        Faulted run;
        Found found, later;
        int next = 0; ///< exit code of the run after the cut
        std::vector<std::string> strays;
    };
    Cut cut(int at, const std::string& kind)
    {
        Cut cut;
        scene_->lay_out();
        const int folder = ::open(disk_->out().parent_path().c_str(), O_RDONLY | O_CLOEXEC);
        REQUIRE(::syncfs(folder) == 0); // what was there before is safe
        ::close(folder);
        cut.run = run_faulted(at, kind, scene_->command());
        fs::copy_file(image_, saved_, fs::copy_options::overwrite_existing);
        REQUIRE(mount(saved_));
        cut.found = scene_->found();
        cut.next = run_plain(scene_->next_command());
        cut.later = scene_->found_later();
        cut.strays = scene_->strays();
        REQUIRE(mount(image_));
        return cut;
    }

private:
    bool mount(const fs::path& image)
    {
        disk_.reset();
        disk_ = std::make_unique<Mounted>(image, scratch_.path() / "mount");
        return disk_->ok();
    }

    Scratch scratch_;
    fs::path image_ = scratch_.path() / "image";
    fs::path saved_ = scratch_.path() / "saved";
    std::unique_ptr<Mounted> disk_;
    std::optional<ProgramScene> scene_;
    bool ok_ = false;
};

bool power_cut_skipped(const ProgramDisk& disk, const std::string& kind)
{
    const std::string reason =
        disk.ok() ? why_no_tracing() : "an image of " + kind + " cannot be made and mounted here";
    if (!reason.empty())
        MESSAGE("SKIPPED: " << reason);
    return !reason.empty();
}

/// Cuts the power at one call, or after the end where `kind` is "count".
void check_cut(ProgramDisk& disk, int at, const std::string& kind)
{
    CAPTURE(at);
    const ProgramDisk::Cut cut = disk.cut(at, kind);
    const RunKind run = disk.scene().run();
    CAPTURE(cut.run.where);
    INFO(cut.found.flaw);
    const bool is_old =
        cut.found.what == (run == RunKind::first ? Found::What::absent : Found::What::old_set);
    CHECK((is_old || cut.found.what == Found::What::new_set));
    if (cut.run.exit_code == disk.scene().done())
        CHECK(cut.found.what == Found::What::new_set);
    else
        CHECK(cut.run.fired == 1);
    INFO(cut.later.flaw);
    CHECK(cut.next == 0);
    CHECK(cut.later.what == Found::What::new_set);
    CHECK(cut.strays.empty());
}

} // namespace

TEST_SUITE("power cut" * doctest::skip())
{
    TEST_CASE("a power cut during a run leaves the old set or the new one, whole")
    {
        for (const std::string kind : {"ext4", "xfs"})
            for (const RunKind run : {RunKind::first, RunKind::reusing, RunKind::also}) {
                CAPTURE(kind);
                CAPTURE(std::string{name_of(run)});
                ProgramDisk disk{kind, run};
                if (power_cut_skipped(disk, kind))
                    continue;
                const int calls = calls_of(disk.scene());
                const int step = std::max(1, calls / about_so_many_cuts);
                int cuts = 0;
                for (int at = 1; at <= calls; at += step, ++cuts)
                    check_cut(disk, at, "kill");
                check_cut(disk, 0, "count");
                MESSAGE(kind << ", " << std::string{name_of(run)} << ": power cut at " << cuts
                             << " of " << calls << " calls and at the end");
            }
    }

    TEST_CASE("a power cut finds a run whose files were not on the disk")
    {
        for (const std::string kind : {"ext4", "xfs"}) {
            CAPTURE(kind);
            ProgramDisk disk{kind, RunKind::reusing};
            if (power_cut_skipped(disk, kind))
                continue;
            const ProgramDisk::Cut cut = disk.cut(1, "lost-syncs");
            CHECK(cut.run.fired > 0);
            CHECK(cut.run.exit_code == 0);
            CHECK(cut.found.what != Found::What::new_set);
        }
    }
}
