// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/closed_by.hpp"

#include <cstdio>
#include <filesystem>
#include <memory>
#include <string_view>

namespace fuelring {

/// What stands at a path, links followed, where it is neither a regular file nor a folder: "a named
/// pipe", "a socket", "a device". To open one may wait for ever. Empty otherwise, also where there
/// is nothing: who opens it says so.
/// Throws nothing. The text is a constant of the program.
std::string_view special_file(const std::filesystem::path& path);

/// A stream of C that is closed with its owner. A failure to close is lost: for reading only.
using FilePtr = std::unique_ptr<std::FILE, ClosedBy<std::fclose>>;

/// Opens a regular file for reading, and nothing else; never waits.
/// Throws: std::runtime_error with the reason alone.
/// Law: what takes the file's place between the look and the opening is refused as well.
FilePtr open_regular(const std::filesystem::path& file);

} // namespace fuelring
