// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <vector>

namespace fuelring {

/// By what a changed file shows, with times in nanoseconds.
struct FileStamp {
    std::string written; ///< device, inode, size, time of the last write
    /// Time of the last change of bytes, mode, owner or number of names. It alone changes with a
    /// hard link, and with a write whose time was set back.
    std::string status;
    bool operator==(const FileStamp&) const = default;
};

/// A file and what readers of its format look at beside it (`roofs.dbf`, `fuel.tfw`,
/// `fuel.tif.ovr`, `roofs.gpkg-wal`): any write, and any file that comes or goes, shows.
using InputStamps = std::map<std::filesystem::path, FileStamp>;
InputStamps stamps_of(const std::filesystem::path& input);

/// The first file that differs; empty where none does.
std::filesystem::path changed_file(const InputStamps& before, const InputStamps& now);

/// True where the same files were not written since, as far as their stamps tell: their bytes say
/// whether they changed.
bool written_alike(const InputStamps& before, const InputStamps& now);

/// SHA-256 in hex over a file and whatever lies beside it under its name, whose bytes are read.
/// Throws: std::system_error.
std::string digest_with_companions(const std::filesystem::path& input);

/// True where a file was written within the last second: two writes within a tick of the file
/// system's clock look like one, so it has to be looked at again a little later.
bool is_fresh(const std::filesystem::path& file);

} // namespace fuelring
