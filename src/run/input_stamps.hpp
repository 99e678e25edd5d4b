// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <vector>

namespace fuelring {

/// A file and what readers of its format look at beside it (`roofs.dbf`, `fuel.tfw`,
/// `fuel.tif.ovr`, `roofs.gpkg-wal`), each with inode, size and times in nanoseconds: any write,
/// and any file that comes or goes, shows.
using InputStamps = std::map<std::filesystem::path, std::string>;
InputStamps stamps_of(const std::filesystem::path& input);

/// The first file that differs; empty where none does.
std::filesystem::path changed_file(const InputStamps& before, const InputStamps& now);

/// True where a file was written within the last second: two writes within a tick of the file
/// system's clock look like one, so it has to be looked at again a little later.
bool is_fresh(const std::filesystem::path& file);

} // namespace fuelring
