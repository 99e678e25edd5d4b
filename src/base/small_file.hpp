// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <filesystem>
#include <string>

namespace fuelring {

/// The bytes of a file that is read as a whole: configurations, small tables, manifests.
/// What is no regular file is not waited for. No more than `most` bytes are taken into memory,
/// whatever the file claims to be.
/// Throws: std::runtime_error with the reason alone; the caller knows what the file is for.
/// Shape: all bytes as they stand, a mark of byte order and NUL among them; at most `most` of them.
/// A file that grows while it is read is read on, as far as `most`.
std::string small_file(const std::filesystem::path& file, std::size_t most);

inline constexpr std::size_t most_table_bytes = 64U << 20; ///< of a small CSV
inline constexpr std::size_t most_text_bytes = 4U << 20;   ///< of a configuration or a text

} // namespace fuelring
