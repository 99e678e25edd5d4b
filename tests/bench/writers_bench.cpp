// SPDX-License-Identifier: Apache-2.0

// How long the writers take on a sparse surface of 12,000 x 25,000 cells.
//     bench_writers [FOLDER]   the folder must be on a real disk for fsync to mean anything
#include "base/parallel_for.hpp"
#include "bench/stopwatch.hpp"
#include "io/cog/cog_writer.hpp"
#include "io/gdal/setup.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <limits>
#include <map>
#include <random>

using namespace fuelring;

namespace {

constexpr int side = out_block_cells;
constexpr std::int64_t raster_cols = 12'000;
constexpr std::int64_t raster_rows = 25'000;
constexpr int houses = 3'723;
constexpr int reach = 100; // cells of 1 m

/// Value noise in 0 to 1 with features of `size` cells: stands of trees.
float noise(std::int64_t x, std::int64_t y, std::int64_t size)
{
    const auto corner = [size](std::int64_t i, std::int64_t j) {
        auto v = static_cast<std::uint64_t>(i) * 0x9e3779b97f4a7c15U ^
                 static_cast<std::uint64_t>(j) * 0xc2b2ae3d27d4eb4fU ^
                 static_cast<std::uint64_t>(size);
        v = (v ^ v >> 29U) * 0xbf58476d1ce4e5b9U;
        return static_cast<float>((v ^ v >> 32U) & 0xffffU) / 65535.0F;
    };
    const std::int64_t i = x / size;
    const std::int64_t j = y / size;
    const float fx = static_cast<float>(x % size) / static_cast<float>(size);
    const float fy = static_cast<float>(y % size) / static_cast<float>(size);
    return std::lerp(std::lerp(corner(i, j), corner(i + 1, j), fx),
                     std::lerp(corner(i, j + 1), corner(i + 1, j + 1), fx), fy);
}

struct Block {
    std::vector<float> surface;
    std::vector<std::uint16_t> share;
    std::vector<std::uint16_t> group;
};
using Blocks = std::map<std::pair<std::int64_t, std::int64_t>, Block>; ///< by row, column

void add_house(Blocks& blocks, double hx, double hy)
{
    const auto tag = static_cast<float>(1 + 0.001 * (hx - std::floor(hx)));
    for (int y = static_cast<int>(hy) - reach; y <= static_cast<int>(hy) + reach; ++y) {
        for (int x = static_cast<int>(hx) - reach; x <= static_cast<int>(hx) + reach; ++x) {
            const double d = std::hypot(x - hx, y - hy);
            if (d > reach)
                continue;
            Block& block = blocks[{y / side, x / side}];
            if (block.surface.empty())
                block.surface.assign(side * side, std::numeric_limits<float>::quiet_NaN());
            float& v = block.surface[static_cast<std::size_t>(y % side * side + x % side)];
            const float points = d < 1.5 ? 5.0F : d < 10 ? 0.054F : d < 30 ? 0.008F : 0.00035F;
            v = (std::isnan(v) ? 0.0F : v) + points * tag;
        }
    }
}

/// Lays stands of conifers under the houses' reaches: the surface is 0 elsewhere in reach.
void add_fuel(std::int64_t block_row, std::int64_t block_col, Block& block)
{
    block.share.assign(block.surface.size(), 65535);
    block.group.assign(block.surface.size(), 65535);
    for (std::size_t k = 0; k < block.surface.size(); ++k) {
        if (std::isnan(block.surface[k]))
            continue;
        const std::int64_t x = block_col * side + static_cast<std::int64_t>(k) % side;
        const std::int64_t y = block_row * side + static_cast<std::int64_t>(k) / side;
        const float wood = 0.6F * noise(x, y, 40) + 0.4F * noise(x, y, 7);
        const bool conifer = wood > 0.62F;
        block.group[k] = conifer ? 1 : wood > 0.52F ? 3 : wood > 0.3F ? 4 : 6;
        block.share[k] = conifer ? 10'000 : 0;
        if (!conifer)
            block.surface[k] = 0;
    }
}

Blocks make_blocks()
{
    std::mt19937 random{1};
    std::uniform_real_distribution<double> anywhere{0, 1};
    std::normal_distribution<double> spread{0, 300};
    std::vector<Point> villages;
    for (int k = 0; k < 25; ++k)
        villages.push_back({anywhere(random) * raster_cols, anywhere(random) * raster_rows});
    Blocks blocks;
    for (int k = 0; k < houses; ++k) {
        const Point village = villages[random() % villages.size()];
        add_house(blocks, std::clamp(village.x + spread(random), 120.0, raster_cols - 120.0),
                  std::clamp(village.y + spread(random), 120.0, raster_rows - 120.0));
    }
    for (auto& [at, block] : blocks)
        add_fuel(at.first, at.second, block);
    return blocks;
}

void write_raster(const Blocks& blocks, const std::filesystem::path& folder,
                  RasterOutSpec::Kind kind, int threads)
{
    const bool surface = kind == RasterOutSpec::Kind::surface;
    const Grid grid{{500'000, 1, 0, 5'250'000, 0, -1}, raster_cols, raster_rows};
    RasterOutSpec spec;
    spec.path = folder / (surface ? "priority.tif" : "fuel_used.tif");
    spec.kind = kind;
    spec.threads = threads;
    std::filesystem::remove(spec.path);
    const Stopwatch put;
    RasterOut out{spec, grid, Crs::from_user_input("EPSG:32632", "bench")};
    const std::vector<Blocks::value_type const*> list = [&] {
        std::vector<Blocks::value_type const*> all;
        for (const auto& entry : blocks)
            all.push_back(&entry);
        return all;
    }();
    share_out(list.size(), threads, [&](const auto& next) {
        for (std::size_t k = next(); k < list.size(); k = next()) {
            const auto& [at, block] = *list[k];
            if (surface)
                out.put(at.second, at.first, block.surface);
            else
                out.put(at.second, at.first, block.share, block.group);
        }
    });
    const std::string put_time = put.lap();
    const Stopwatch finish;
    out.finish();
    fmt::print("{:14} {} threads: {} blocks, put {}, finish {}, {:.1f} MB\n",
               spec.path.filename().string(), threads, blocks.size(), put_time, finish.lap(),
               static_cast<double>(std::filesystem::file_size(spec.path)) / 1e6);
}

} // namespace

int main(int argc, char** argv)
{
    set_up_gdal();
    const std::filesystem::path folder = argc > 1 ? argv[1] : "writers_bench.tmp";
    std::filesystem::create_directories(folder);
    const Blocks blocks = make_blocks();
    for (const int threads : {1, 2, 2}) {
        write_raster(blocks, folder, RasterOutSpec::Kind::surface, threads);
        write_raster(blocks, folder, RasterOutSpec::Kind::fuel_used, threads);
    }
    return EXIT_SUCCESS;
}
