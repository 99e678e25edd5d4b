// SPDX-License-Identifier: Apache-2.0

// Exit codes 4 and 5: the place where the outputs should go.
#include "refusal.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/mount.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <fstream>

using namespace fuelring::test;

namespace {

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

} // namespace

TEST_CASE("an output folder that is a file is refused, and the file stays")
{
    const MappedHamlet hamlet;
    const fs::path file = hamlet.folder() / "report.doc";
    write_text(file, "somebody's");
    hamlet.refuses(4, {"report.doc"}, {"--out", file});
    CHECK(text_of(file) == "somebody's");
}

TEST_CASE("an output folder below a file or in a folder that is not there is refused")
{
    const MappedHamlet hamlet;
    const fs::path file = hamlet.folder() / "report.doc";
    write_text(file, "somebody's");
    hamlet.refuses(4, {"report.doc"}, {"--out", file / "out"});
    hamlet.refuses(4, {"absent"}, {"--out", hamlet.folder() / "absent" / "out"});
    CHECK(text_of(file) == "somebody's");
}

TEST_CASE("a disk that is full leaves the earlier outputs as they were")
{
    const MappedHamlet hamlet;
    const fs::path folder = hamlet.folder() / "disk";
    const SmallDisk disk{folder, "size=2m"};
    if (!disk.mounted())
        return;
    const fs::path out = folder / "out";
    REQUIRE(hamlet.run("map", {"--out", out}).exit_code == 0);
    const auto before = bytes_below(out);
    // Room from next to nothing to almost enough: the run ends in a different step each time.
    for (const std::size_t room : {std::size_t{0}, std::size_t{1} << 12, std::size_t{1} << 15,
                                   std::size_t{1} << 16, std::size_t{1} << 17}) {
        CAPTURE(room);
        const fs::path filler = folder / "filler";
        const auto available = static_cast<std::size_t>(fs::space(folder).available);
        REQUIRE(available > room);
        write_text(filler, std::string(available - room, 'x'));
        hamlet.refuses(4, {folder}, {"--out", out});
        CHECK((bytes_below(out) == before));
        CHECK(names_in(folder) == "filler out");
        fs::remove(filler);
    }
    CHECK(hamlet.run("map", {"--out", out}).exit_code == 0);
}

TEST_CASE("a disk that may only be read is refused before any work")
{
    const MappedHamlet hamlet;
    const fs::path folder = hamlet.folder() / "disk";
    const SmallDisk disk{folder, "size=8m"};
    if (!disk.mounted())
        return;
    const fs::path out = folder / "out";
    REQUIRE(hamlet.run("map", {"--out", out}).exit_code == 0);
    const auto before = bytes_below(out);
    REQUIRE(disk.make_read_only());
    hamlet.refuses(4, {folder, "Read-only file system"}, {"--out", out});
    CHECK((bytes_below(out) == before));
}

TEST_CASE("a folder that another run holds is refused at once, with who holds it")
{
    const MappedHamlet hamlet;
    {
        const ForeignLock other{hamlet.folder() / ".out.lock"};
        const auto start = std::chrono::steady_clock::now();
        hamlet.refuses(5, {hamlet.out(), "another run holds", "pid 4711 on elsewhere"});
        CHECK(std::chrono::steady_clock::now() - start < std::chrono::seconds{5});
    }
    CHECK(hamlet.run("map").exit_code == 0); // the lock went with its holder
}
