// SPDX-License-Identifier: Apache-2.0

// Surfaces to write, and GDAL to read them.
#pragma once

#include "base/parallel_for.hpp"
#include "io/cog/cog_writer.hpp"
#include "io/gdal/errors.hpp"
#include "io/gdal/setup.hpp"
#include "unit/io/scratch_folder.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <cstdlib>
#include <limits>
#include <vector>

namespace fuelring::test {

inline constexpr int block_side = out_block_cells;
inline constexpr float no_value = std::numeric_limits<float>::quiet_NaN();
inline constexpr std::array<double, 6> north_up = {500'000, 2, 0, 5'250'000, 0, -2};

using Kind = RasterOutSpec::Kind;
using Values = std::vector<float>;

struct Block {
    std::int64_t col;
    std::int64_t row;
    Values values;
};

/// A smooth field with a hole of NaN, different in every block.
inline Values field(std::int64_t col, std::int64_t row)
{
    Values values(block_side * block_side);
    for (int r = 0; r < block_side; ++r)
        for (int c = 0; c < block_side; ++c) {
            const double x = static_cast<double>(col * block_side + c);
            const double y = static_cast<double>(row * block_side + r);
            const bool hole = std::hypot(c - 250, r - 250) < 60;
            const bool bare = std::sin(x / 40) < 0;
            values[static_cast<std::size_t>(r * block_side + c)] =
                hole   ? no_value
                : bare ? 0
                       : static_cast<float>(std::abs(std::sin(x / 97) + std::cos(y / 61)));
        }
    return values;
}

inline RasterOutSpec surface_spec(const std::filesystem::path& path)
{
    RasterOutSpec spec;
    spec.path = path;
    spec.band_names = {"points per cell & <more>"};
    spec.metadata = {{"UNITS", "percentage points"}};
    return spec;
}

inline Crs utm()
{
    set_up_gdal();
    return Crs::from_user_input("EPSG:32632", "test");
}

inline void write_surface(const RasterOutSpec& spec, const Grid& grid,
                          const std::vector<Block>& blocks, int threads = 1)
{
    RasterOut out{spec, grid, utm()};
    share_out(blocks.size(), threads, [&](const auto& next) {
        for (std::size_t k = next(); k < blocks.size(); k = next())
            out.put(blocks[k].col, blocks[k].row, blocks[k].values);
    });
    out.finish();
}

inline DatasetPtr open(const std::filesystem::path& path)
{
    return DatasetPtr{GDALOpen(path.c_str(), GA_ReadOnly)};
}

inline Values read(GDALRasterBandH band, int col, int row, int cols, int rows)
{
    Values values(static_cast<std::size_t>(cols) * static_cast<std::size_t>(rows));
    REQUIRE(GDALRasterIO(band, GF_Read, col, row, cols, rows, values.data(), cols, rows,
                         GDT_Float32, 0, 0) == CE_None);
    return values;
}

/// A surface of these blocks, written and opened again.
struct WrittenSurface {
    ScratchFolder folder;
    DatasetPtr file;
    GDALRasterBandH band = nullptr;

    WrittenSurface(const Grid& grid, const std::vector<Block>& blocks)
    {
        const RasterOutSpec spec = surface_spec(folder / "priority.tif");
        write_surface(spec, grid, blocks);
        file = open(spec.path);
        REQUIRE(file);
        band = GDALGetRasterBand(file.get(), 1);
    }
};

inline bool same(float a, float b)
{
    return a == b || (std::isnan(a) && std::isnan(b));
}

inline double item(GDALRasterBandH band, const char* key)
{
    const char* text = GDALGetMetadataItem(band, key, nullptr);
    REQUIRE(text != nullptr);
    return std::strtod(text, nullptr);
}

} // namespace fuelring::test
