// SPDX-License-Identifier: Apache-2.0
#include "mutating_calls.hpp"

#include <fcntl.h>
#include <sys/syscall.h>
#include <sys/uio.h>
#include <unistd.h>

#include <algorithm>
#include <climits>
#include <cstddef>
#include <string_view>

namespace fuelring::faults {

namespace {

enum class Names { path, descriptor };

struct Row {
    long number;
    std::string_view name;
    Names names;        ///< what the argument `target` is
    std::size_t target; ///< index of the argument that names the file
    int flags = -1;     ///< index of open flags that decide; -1: always mutating
};

// The kernel's table of calls differs between machines; only those there are, are listed.
constexpr Row rows[] = {
    {SYS_write, "write", Names::descriptor, 0},
    {SYS_pwrite64, "pwrite64", Names::descriptor, 0},
    {SYS_writev, "writev", Names::descriptor, 0},
    {SYS_pwritev, "pwritev", Names::descriptor, 0},
    {SYS_pwritev2, "pwritev2", Names::descriptor, 0},
    {SYS_sendfile, "sendfile", Names::descriptor, 0},
    {SYS_copy_file_range, "copy_file_range", Names::descriptor, 2},
    {SYS_ftruncate, "ftruncate", Names::descriptor, 0},
    {SYS_fallocate, "fallocate", Names::descriptor, 0},
    {SYS_fsync, "fsync", Names::descriptor, 0},
    {SYS_fdatasync, "fdatasync", Names::descriptor, 0},
    {SYS_sync_file_range, "sync_file_range", Names::descriptor, 0},
    {SYS_fchmod, "fchmod", Names::descriptor, 0},
    {SYS_fchown, "fchown", Names::descriptor, 0},
    {SYS_truncate, "truncate", Names::path, 0},
    {SYS_openat, "openat", Names::path, 1, 2},
    {SYS_renameat2, "renameat2", Names::path, 3},
    {SYS_unlinkat, "unlinkat", Names::path, 1},
    {SYS_mkdirat, "mkdirat", Names::path, 1},
    {SYS_symlinkat, "symlinkat", Names::path, 2},
    {SYS_linkat, "linkat", Names::path, 3},
    {SYS_fchmodat, "fchmodat", Names::path, 1},
    {SYS_fchownat, "fchownat", Names::path, 1},
    {SYS_utimensat, "utimensat", Names::path, 1},
#ifdef SYS_open // the older calls of x86_64
    {SYS_open, "open", Names::path, 0, 1},
    {SYS_creat, "creat", Names::path, 0},
    {SYS_rename, "rename", Names::path, 1},
    {SYS_renameat, "renameat", Names::path, 3},
    {SYS_unlink, "unlink", Names::path, 0},
    {SYS_rmdir, "rmdir", Names::path, 0},
    {SYS_mkdir, "mkdir", Names::path, 0},
    {SYS_symlink, "symlink", Names::path, 1},
    {SYS_link, "link", Names::path, 1},
    {SYS_chmod, "chmod", Names::path, 0},
    {SYS_chown, "chown", Names::path, 0},
    {SYS_lchown, "lchown", Names::path, 0},
#endif
};

/// A string in the memory of the traced thread, up to the end of its page at worst.
std::string text_at(pid_t tid, std::uint64_t address)
{
    std::string text;
    std::array<char, 64> piece{};
    while (address != 0 && text.size() < PATH_MAX) {
        // Never across a multiple of the piece, hence never into a page that is not there.
        const std::size_t length = piece.size() - address % piece.size();
        const iovec local{piece.data(), length};
        const iovec remote{reinterpret_cast<void*>(address), length};
        if (::process_vm_readv(tid, &local, 1, &remote, 1, 0) != static_cast<ssize_t>(length))
            break;
        const std::string_view got{piece.data(), length};
        const std::size_t end = got.find('\0');
        text += got.substr(0, end);
        if (end != std::string_view::npos)
            break;
        address += length;
    }
    return text;
}

std::string descriptor_target(pid_t tid, std::uint64_t descriptor)
{
    const std::string link =
        "/proc/" + std::to_string(tid) + "/fd/" + std::to_string(static_cast<int>(descriptor));
    std::array<char, PATH_MAX> text{};
    const ssize_t length = ::readlink(link.c_str(), text.data(), text.size());
    return {text.data(), length > 0 ? static_cast<std::size_t>(length) : 0};
}

bool is_file_on_disk(std::string_view target, Names names)
{
    const bool named = names == Names::path || target.starts_with('/');
    const bool is_device = target.starts_with("/dev/") && !target.starts_with("/dev/shm/");
    return named && !is_device && !target.starts_with("/proc/") && !target.starts_with("/memfd:");
}

} // namespace

std::optional<MutatingCall> mutating_call(pid_t tid, std::uint64_t number,
                                          const std::array<std::uint64_t, 6>& args)
{
    const auto row = std::find_if(std::begin(rows), std::end(rows), [&](const Row& known) {
        return static_cast<std::uint64_t>(known.number) == number;
    });
    if (row == std::end(rows))
        return std::nullopt;
    if (row->flags >= 0 && (args[static_cast<std::size_t>(row->flags)] & (O_CREAT | O_TRUNC)) == 0)
        return std::nullopt;
    const std::uint64_t argument = args[row->target];
    std::string target =
        row->names == Names::path ? text_at(tid, argument) : descriptor_target(tid, argument);
    if (!is_file_on_disk(target, row->names))
        return std::nullopt;
    return MutatingCall{std::string{row->name}, std::move(target)};
}

} // namespace fuelring::faults
