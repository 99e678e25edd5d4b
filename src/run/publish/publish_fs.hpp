// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/digest.hpp"

#include <filesystem>
#include <string_view>
#include <vector>

namespace fuelring {

/// What lies under a folder, as sorted paths relative to it. Links are entries, never followed.
struct Tree {
    std::vector<std::filesystem::path> entries; ///< files, links and special files
    std::vector<std::filesystem::path> folders; ///< a parent before its children
};

/// Throws: Error{output}.
Tree list_tree(const std::filesystem::path& folder);

/// True if something has this name; a dangling link counts.
bool exists_here(const std::filesystem::path& path);

/// Swaps two names in one step. Returns 0 or the errno: EINVAL or ENOSYS where the file system
/// cannot.
int exchange(const std::filesystem::path& a, const std::filesystem::path& b);

/// Renames to a name that is free; never replaces. Throws: Error{output} that begins with `what`.
void rename_to_free(const std::filesystem::path& from, const std::filesystem::path& to,
                    const std::string& what);

/// mkdir of one folder, which must not exist. Throws: Error{output}.
void make_folder(const std::filesystem::path& path, unsigned mode = 0777);
/// mkdir of `folder / relative` and of its parents below `folder`.
void make_folders_below(const std::filesystem::path& folder, const std::filesystem::path& relative);

/// Gives `folder` the owner and mode of `model`. Returns false where this user may not give the
/// owner. Throws: Error{output}.
bool take_owner_and_mode(const std::filesystem::path& folder, const std::filesystem::path& model);

/// Removes a folder and all in it; the file `last` goes last, so that what is left of an
/// interrupted removal still says what it was. Throws: Error{output}.
void remove_tree(const std::filesystem::path& folder, std::string_view last);

/// What identifies the content of an entry: the digest of a file, or of a link's target.
/// Throws: Error{output}, also for what is neither.
FileDigest entry_digest(const std::filesystem::path& path);

/// Copies a file (bytes on the disk, mode, times, owner where allowed) or a link.
/// Returns the digest of what was copied. Throws: Error{output}.
FileDigest copy_entry(const std::filesystem::path& from, const std::filesystem::path& to);

} // namespace fuelring
