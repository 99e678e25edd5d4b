// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <toml++/toml.h>

#include <filesystem>
#include <string>

namespace fuelring {

/// Parts of a dotted key or heading, and brackets within each other, that are read: the parser and
/// the tables that it makes work by recursion. The deepest key of ours has four parts.
inline constexpr int deepest_toml = 16;

/// `text` as TOML. Throws: Error{usage} naming line and column of `file`, also where it is nested
/// deeper than `deepest_toml`.
toml::table parse_toml(const std::string& text, const std::filesystem::path& file);

} // namespace fuelring
