// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>

namespace fuelring {

/// SHA-256 of a file's bytes in lower-case hex, and its size.
struct FileDigest {
    std::string sha256;
    std::uint64_t size = 0;
};

/// Throws: std::system_error when the file cannot be read.
FileDigest digest_of(const std::filesystem::path& file);

} // namespace fuelring
