// SPDX-License-Identifier: Apache-2.0
#include "run/publish/publish_place.hpp"

#include "base/program/durable_file.hpp"
#include "run/publish/publish_fs.hpp"

#include <fcntl.h>
#include <fmt/chrono.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <unistd.h>

#include <cerrno>
#include <ctime>
#include <random>
#include <system_error>

namespace fuelring {

namespace fs = std::filesystem;

namespace {

/// Bind mounts of the same file system have their parent's device number, hence the attribute.
bool is_mount_point(const fs::path& folder)
{
    struct statx about {};
    if (::statx(AT_FDCWD, folder.c_str(), 0, STATX_BASIC_STATS, &about) != 0)
        throw output_error("cannot be looked at", folder, errno);
    if ((about.stx_attributes_mask & STATX_ATTR_MOUNT_ROOT) != 0)
        return (about.stx_attributes & STATX_ATTR_MOUNT_ROOT) != 0;
    struct stat here {
    }, above{};
    return ::stat(folder.c_str(), &here) == 0 && ::stat((folder / "..").c_str(), &above) == 0 &&
           here.st_dev != above.st_dev;
}

void check_folder(const fs::path& out)
{
    if (!exists_here(out))
        return;
    std::error_code ignored;
    if (!fs::is_directory(out, ignored))
        throw Error{Failure::output, "the output folder is a file", out.string(),
                    "move it away or choose another output.dir"};
    if (is_mount_point(out))
        throw Error{Failure::output,
                    "the output folder is a mount point and cannot be replaced as a whole",
                    out.string(), "mount its parent, or choose a folder below it as output.dir"};
    if (::access(out.c_str(), R_OK | W_OK | X_OK) != 0)
        throw output_error("the output folder is not writable", out, errno);
}

void check_room(const fs::path& parent, std::uint64_t room_bytes)
{
    struct statvfs about {};
    if (::statvfs(parent.c_str(), &about) != 0)
        throw output_error("the file system cannot be asked for its room", parent, errno);
    const std::uint64_t free_bytes = std::uint64_t{about.f_bavail} * about.f_frsize;
    if (free_bytes < room_bytes)
        throw Error{Failure::output,
                    fmt::format("about {} MB are needed and {} MB are free",
                                (room_bytes + 999'999) / 1'000'000, free_bytes / 1'000'000),
                    parent.string(), "make room on this file system and run again"};
}

} // namespace

Place find_place(const fs::path& out, std::uint64_t room_bytes)
{
    std::error_code error;
    fs::path whole = fs::absolute(out, error); // fails where the current folder was removed
    if (!error)
        whole = fs::weakly_canonical(whole, error).lexically_normal();
    if (error)
        throw output_error("the output folder cannot be found", out, error.value());
    if (!whole.has_filename())
        whole = whole.parent_path(); // "out/" is "out"
    const Place place{whole, whole.parent_path(), whole.filename().string()};
    if (place.name.empty())
        throw Error{Failure::output, "the root folder cannot be an output folder", whole.string(),
                    "choose another output.dir"};
    if (!fs::is_directory(place.parent, error))
        throw Error{Failure::output, "the parent of the output folder does not exist",
                    place.parent.string(), "make it (mkdir -p) or choose another output.dir"};
    check_folder(place.out);
    if (::access(place.parent.c_str(), R_OK | W_OK | X_OK) != 0)
        throw output_error("the parent of the output folder is not writable", place.parent, errno);
    check_room(place.parent, room_bytes);
    return place;
}

std::string make_run_id()
{
    std::random_device random;
    return fmt::format("{:%Y%m%dT%H%M%SZ}-{}-{:08x}", fmt::gmtime(std::time(nullptr)), ::getpid(),
                       random());
}

bool probe_exchange(const fs::path& staging)
{
    const fs::path a = staging.string() + "-probe-a";
    const fs::path b = staging.string() + "-probe-b";
    make_folder(a);
    int failed = 0;
    try {
        make_folder(b);
        failed = exchange(a, b);
    } catch (const Error&) {
        ::rmdir(a.c_str());
        throw;
    }
    if (::rmdir(a.c_str()) != 0 || ::rmdir(b.c_str()) != 0)
        throw output_error("an empty folder cannot be removed", a, errno);
    if (failed == 0 || failed == EINVAL || failed == ENOSYS || failed == EOPNOTSUPP)
        return failed == 0;
    throw output_error("folders cannot be exchanged there", staging.parent_path(), failed);
}

} // namespace fuelring
