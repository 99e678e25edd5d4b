// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/unique_fd.hpp"
#include "io/gdal/handles.hpp"

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <mutex>
#include <vector>

namespace fuelring {

/// The blocks of a GeoTIFF of an earlier run, packed as they lie in the file. Calls may come from
/// several threads.
class PackedBlocks {
public:
    /// Gives no block where the file cannot be read.
    explicit PackedBlocks(const std::filesystem::path& file);

    /// False where the file has no such block, or it cannot be read.
    bool read(std::int64_t col, std::int64_t row, std::vector<std::byte>& packed);

private:
    std::mutex guard_;
    DatasetPtr file_;
    UniqueFd fd_;
};

} // namespace fuelring
