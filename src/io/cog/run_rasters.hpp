// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/gdal/handles.hpp"

#include <fuelring/grid.hpp>

#include <cstdint>
#include <filesystem>
#include <span>

namespace fuelring {

/// priority.tif and fuel_used.tif of a run, for one thread.
class RunRasters {
public:
    /// Throws: Error{output} where they are not those of a run on `grid`.
    RunRasters(const std::filesystem::path& priority, const std::filesystem::path& fuel_used,
               const Grid& grid);

    /// Reads a window, row by row. False, and nothing read, where no ring reaches any of it.
    /// Throws: Error{output} with GDAL's reason.
    bool read(const CellRect& rect, std::span<float> points, std::span<std::uint16_t> share,
              std::span<std::uint16_t> group);

private:
    DatasetPtr priority_;
    DatasetPtr fuel_used_;
    std::filesystem::path folder_;
};

} // namespace fuelring
