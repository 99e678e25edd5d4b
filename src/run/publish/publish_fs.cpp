// SPDX-License-Identifier: Apache-2.0
#include "run/publish/publish_fs.hpp"

#include "base/program/durable_file.hpp"
#include "base/unique_fd.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <system_error>

namespace fuelring {

namespace fs = std::filesystem;

namespace {

constexpr uid_t no_user = static_cast<uid_t>(-1); // chown leaves it as it is
constexpr gid_t no_group = static_cast<gid_t>(-1);
constexpr unsigned folder_mode_bits = 07777;
constexpr unsigned file_mode_bits = 0777; // a copy may have a new owner: no set-user-id

struct stat status_of(const fs::path& path)
{
    struct stat status {};
    if (::lstat(path.c_str(), &status) != 0)
        throw output_error("cannot be looked at", path, errno);
    return status;
}

fs::path link_target(const fs::path& link)
{
    std::error_code error;
    fs::path target = fs::read_symlink(link, error);
    if (error)
        throw output_error("the link cannot be read", link, error.value());
    return target;
}

FileDigest copy_file(const fs::path& from, const fs::path& to, const struct stat& status)
{
    const UniqueFd in{::open(from.c_str(), O_RDONLY | O_CLOEXEC)};
    if (!in)
        throw output_error("the file cannot be read", from, errno);
    DurableFile out{to};
    // Before the first byte, since a user's file may be private; the owner where this user may.
    [[maybe_unused]] const int may_fail = ::fchown(out.descriptor(), status.st_uid, status.st_gid);
    if (::fchmod(out.descriptor(), status.st_mode & file_mode_bits) != 0)
        throw output_error("the mode cannot be set", to, errno);
    if (!read_pieces(in.get(), [&](std::string_view piece) { out.write(piece); }))
        throw output_error("the file cannot be read", from, errno);
    out.flush(); // a write sets the time
    const struct timespec times[] = {status.st_atim, status.st_mtim};
    if (::futimens(out.descriptor(), times) != 0)
        throw output_error("the times cannot be set", to, errno);
    return out.finish();
}

} // namespace

Tree list_tree(const fs::path& folder)
{
    Tree tree;
    try {
        for (const fs::directory_entry& entry : fs::recursive_directory_iterator{folder}) {
            const bool is_folder = fs::is_directory(entry.symlink_status());
            (is_folder ? tree.folders : tree.entries)
                .push_back(entry.path().lexically_relative(folder));
        }
    } catch (const fs::filesystem_error& error) {
        throw output_error("the folder cannot be listed", error.path1(), error.code().value());
    }
    std::sort(tree.entries.begin(), tree.entries.end());
    std::sort(tree.folders.begin(), tree.folders.end());
    return tree;
}

bool exists_here(const fs::path& path)
{
    struct stat status {};
    return ::lstat(path.c_str(), &status) == 0;
}

int exchange(const fs::path& a, const fs::path& b)
{
    return ::renameat2(AT_FDCWD, a.c_str(), AT_FDCWD, b.c_str(), RENAME_EXCHANGE) == 0 ? 0 : errno;
}

void rename_to_free(const fs::path& from, const fs::path& to, const std::string& what)
{
    if (::renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(), RENAME_NOREPLACE) == 0)
        return;
    const int reason = errno;
    // Old network file systems know no flags; the lock keeps other runs out between look and leap.
    const bool no_flags = reason == EINVAL || reason == ENOSYS;
    if (no_flags && !exists_here(to) && ::rename(from.c_str(), to.c_str()) == 0)
        return;
    throw output_error(what, to, no_flags ? errno : reason);
}

void make_folder(const fs::path& path, unsigned mode)
{
    if (::mkdir(path.c_str(), mode) != 0)
        throw output_error("the folder cannot be made", path, errno);
}

void make_folders_below(const fs::path& folder, const fs::path& relative)
{
    fs::path path = folder;
    for (const fs::path& part : relative) {
        path /= part;
        if (::mkdir(path.c_str(), 0777) != 0 && errno != EEXIST)
            throw output_error("the folder cannot be made", path, errno);
    }
}

bool take_owner_and_mode(const fs::path& folder, const fs::path& model)
{
    const struct stat wanted = status_of(model);
    const struct stat have = status_of(folder);
    const bool owner_given =
        wanted.st_uid == have.st_uid || ::lchown(folder.c_str(), wanted.st_uid, no_group) == 0;
    const bool group_given =
        wanted.st_gid == have.st_gid || ::lchown(folder.c_str(), no_user, wanted.st_gid) == 0;
    // After the owner: chown clears the set-group-id bit.
    if (::chmod(folder.c_str(), wanted.st_mode & folder_mode_bits) != 0)
        throw output_error("the mode cannot be set", folder, errno);
    return owner_given && group_given;
}

void remove_tree(const fs::path& folder, std::string_view last)
{
    const Tree tree = list_tree(folder);
    const auto remove_entry = [&](const fs::path& name) {
        if (::unlink((folder / name).c_str()) != 0 && errno != ENOENT)
            throw output_error("cannot be removed", folder / name, errno);
    };
    for (const fs::path& name : tree.entries)
        if (name != last)
            remove_entry(name);
    for (auto sub = tree.folders.rbegin(); sub != tree.folders.rend(); ++sub)
        if (::rmdir((folder / *sub).c_str()) != 0)
            throw output_error("cannot be removed", folder / *sub, errno);
    remove_entry(last);
    if (::rmdir(folder.c_str()) != 0)
        throw output_error("cannot be removed", folder, errno);
}

FileDigest entry_digest(const fs::path& path)
{
    const struct stat status = status_of(path);
    if (S_ISLNK(status.st_mode))
        return digest_of_bytes(link_target(path).native());
    if (!S_ISREG(status.st_mode))
        throw Error{Failure::output, "is neither a file, a folder nor a link", path.string(),
                    "move it out of the output folder"};
    try {
        return digest_of(path);
    } catch (const std::system_error& error) {
        throw output_error("the file cannot be read", path, error.code().value());
    }
}

FileDigest copy_entry(const fs::path& from, const fs::path& to)
{
    const struct stat status = status_of(from);
    if (S_ISREG(status.st_mode))
        return copy_file(from, to, status);
    const FileDigest digest = entry_digest(from); // refuses what is neither file nor link
    if (::symlink(link_target(from).c_str(), to.c_str()) != 0)
        throw output_error("the link cannot be made", to, errno);
    return digest;
}

} // namespace fuelring
