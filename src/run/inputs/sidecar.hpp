// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/digest.hpp"

#include <filesystem>
#include <optional>
#include <string>

namespace fuelring {

/// A checksum that whoever made an input put beside it: `fuel.tif.sha256`, as sha256sum writes it.
struct Sidecar {
    std::filesystem::path path;
    std::string sha256; ///< lower-case hex
};

/// The checksum beside `input`; empty where there is none. A list of several files must name it.
/// Throws: Error{input} for a sidecar that cannot be read or is malformed.
std::optional<Sidecar> read_sidecar(const std::filesystem::path& input);

/// Throws: Error{input} naming both digests where `found`, of `input`, is another one.
void require_digest(const Sidecar& sidecar, const FileDigest& found,
                    const std::filesystem::path& input);

} // namespace fuelring
