// SPDX-License-Identifier: Apache-2.0
#include "io/cog/cog_pixels.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <random>
#include <vector>

using namespace fuelring;

namespace {

using Tile = std::vector<std::uint32_t>;
constexpr float no_cell_value = std::numeric_limits<float>::quiet_NaN();

Tile tile_of(std::uint32_t word)
{
    return Tile(tile_cells, word);
}

ConstTileWords view(const Tile& tile)
{
    return ConstTileWords{tile.data(), tile_cells};
}

void set(Tile& tile, int row, int col, float value)
{
    tile[static_cast<std::size_t>(row * tile_side + col)] = std::bit_cast<std::uint32_t>(value);
}

float get(const Tile& tile, int row, int col)
{
    return std::bit_cast<float>(tile[static_cast<std::size_t>(row * tile_side + col)]);
}

} // namespace

TEST_CASE("an overview cell is the mean of the valid cells among its four")
{
    //  1  3 | NaN NaN        2 (of 1, 3, 2, 2) | NaN
    //  2  2 | NaN NaN   ->   ------------------+----
    // ------+--------        8 (of NaN, 8)     |  0
    // NaN 8 |  0   0
    // NaN NaN  0   0
    Tile tile = tile_of(nan_word);
    const float picture[4][4] = {{1, 3, no_cell_value, no_cell_value},
                                 {2, 2, no_cell_value, no_cell_value},
                                 {no_cell_value, 8, 0, 0},
                                 {no_cell_value, no_cell_value, 0, 0}};
    for (int row = 0; row < 4; ++row)
        for (int col = 0; col < 4; ++col)
            set(tile, row, col, picture[row][col]);
    Tile parent = tile_of(0x12345678);
    average_into(view(tile), true, false, TileWords{parent.data(), tile_cells});
    CHECK(get(parent, 0, 256) == 2);
    CHECK(std::isnan(get(parent, 0, 257)));
    CHECK(get(parent, 1, 256) == 8);
    CHECK(get(parent, 1, 257) == 0);
    CHECK(std::isnan(get(parent, 255, 511)));
    CHECK(parent[255] == 0x12345678);             // the left half is another tile's
    CHECK(parent[256 * 512 + 256] == 0x12345678); // so is the lower
}

TEST_CASE("an overview of codes takes the upper left of four, and never a mixture")
{
    Tile tile = tile_of(no_data_word);
    for (std::size_t k = 0; k < tile_cells; ++k)
        tile[k] = static_cast<std::uint32_t>(k);
    Tile parent = tile_of(7);
    thin_into(view(tile), false, true, TileWords{parent.data(), tile_cells});
    CHECK(parent[256 * 512] == 0);
    CHECK(parent[256 * 512 + 1] == 2);
    CHECK(parent[257 * 512 + 3] == 2 * 512 + 6);
    CHECK(parent[0] == 7);
}

TEST_CASE("statistics of a tile are those of its valid cells")
{
    Tile tile = tile_of(nan_word);
    CHECK(float_stats(view(tile)).count == 0);
    // 2, 4, 4, 4, 5, 5, 7, 9: mean 5, population deviation 2 (a common textbook example)
    const float values[] = {2, 4, 4, 4, 5, 5, 7, 9};
    for (int k = 0; k < 8; ++k)
        set(tile, 64 * k, 3 * k, values[k]);
    const BandStats stats = float_stats(view(tile));
    CHECK(stats.count == 8);
    CHECK(stats.smallest == 2);
    CHECK(stats.largest == 9);
    CHECK(stats.mean == 5);
    CHECK(stats.deviation() == doctest::Approx(2).epsilon(1e-15));
}

TEST_CASE("runs of one value count cell by cell")
{
    // Half a tile of 3, half of 5: mean 4, deviation 1; the runs take the short way.
    Tile tile = tile_of(std::bit_cast<std::uint32_t>(3.0F));
    std::fill_n(tile.begin(), tile_cells / 2, std::bit_cast<std::uint32_t>(5.0F));
    const BandStats stats = float_stats(view(tile));
    CHECK(stats.count == static_cast<std::int64_t>(tile_cells));
    CHECK(stats.mean == 4);
    CHECK(stats.deviation() == 1);
}

TEST_CASE("statistics of the two bands of a pair are apart, and 65535 is in neither")
{
    Tile tile = tile_of(no_data_word);
    tile[0] = 10'000U | 1U << 16U;
    tile[1] = 0U | 4U << 16U;
    tile[2] = no_data_16 | 9U << 16U; // unmapped: its group is known to be unmapped
    const BandStats share = pair_stats(view(tile))[0];
    CHECK(share.count == 2);
    CHECK(share.smallest == 0);
    CHECK(share.largest == 10'000);
    CHECK(share.mean == 5000);
    const BandStats group = pair_stats(view(tile))[1];
    CHECK(group.count == 3);
    CHECK(group.largest == 9);
    CHECK(group.mean == doctest::Approx(14.0 / 3).epsilon(1e-15));
}

TEST_CASE("joining the statistics of parts gives those of the whole")
{
    constexpr unsigned seed = 20'261;
    CAPTURE(seed);
    std::mt19937 random{seed};
    std::uniform_real_distribution<float> value{-1, 3};
    Tile whole = tile_of(nan_word);
    Tile left = whole;
    Tile right = whole;
    for (int row = 0; row < tile_side; ++row) {
        for (int col = 0; col < tile_side; ++col) {
            const float v = value(random);
            set(whole, row, col, v);
            set(col < 200 ? left : right, row, col, v);
        }
    }
    BandStats joined = float_stats(view(left));
    joined.join(float_stats(view(right)));
    const BandStats expected = float_stats(view(whole));
    CHECK(joined.count == expected.count);
    CHECK(joined.smallest == expected.smallest);
    CHECK(joined.largest == expected.largest);
    CHECK(joined.mean == doctest::Approx(expected.mean).epsilon(1e-12));
    CHECK(joined.deviation() == doctest::Approx(expected.deviation()).epsilon(1e-12));
}

TEST_CASE("a tile has valid cells unless every cell is nodata")
{
    Tile tile = tile_of(nan_word);
    CHECK_FALSE(has_valid_cell(view(tile), true));
    set(tile, 511, 511, 0);
    CHECK(has_valid_cell(view(tile), true));
    tile = tile_of(no_data_word);
    CHECK_FALSE(has_valid_cell(view(tile), false));
    tile.back() = no_data_16; // the group is 0 there
    CHECK(has_valid_cell(view(tile), false));
}
