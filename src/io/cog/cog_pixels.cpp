// SPDX-License-Identifier: Apache-2.0

// Loops over the words of a tile, which every cell of an output passes several times. Most of a
// tile is runs of one value, so each stretch of 32 words is first asked whether it is uniform, a
// loop without branches; only the others are looked at cell by cell.
#include "io/cog/cog_pixels.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstddef>

namespace fuelring {

namespace {

constexpr std::size_t side = tile_side;
constexpr std::size_t half = side / 2;

/// Most of a tile is runs of one value, so cells are looked at in stretches first.
constexpr std::size_t stretch = 32;
static_assert(half % stretch == 0);

bool is_uniform(const std::uint32_t* words)
{
    std::uint32_t differences = 0;
    for (std::size_t k = 1; k < stretch; ++k)
        differences |= words[k] ^ words[0];
    return differences == 0;
}

/// Sums over the valid cells of one band of a tile; of integers they are exact.
template <typename T>
struct Sums {
    using Limits = std::numeric_limits<T>;

    std::uint64_t count = 0;
    T sum = 0;
    T squares = 0;
    T smallest = Limits::has_infinity ? Limits::infinity() : Limits::max();
    T largest = Limits::has_infinity ? -Limits::infinity() : Limits::min();

    void add(T value, std::size_t times)
    {
        const T weight = static_cast<T>(times);
        count += times;
        sum += weight * value;
        squares += weight * value * value;
        smallest = std::min(smallest, value);
        largest = std::max(largest, value);
    }
    BandStats stats() const
    {
        if (count == 0)
            return {};
        const auto total = static_cast<double>(sum);
        const double mean = total / static_cast<double>(count);
        return {static_cast<std::int64_t>(count), static_cast<double>(smallest),
                static_cast<double>(largest), mean,
                std::max(static_cast<double>(squares) - total * mean, 0.0)};
    }
};

/// Mean of the valid floats of two cells in the upper and two in the lower row.
std::uint32_t mean_of_valid(const std::uint32_t* upper, const std::uint32_t* lower)
{
    double sum = 0;
    int count = 0;
    for (const std::uint32_t word : {upper[0], upper[1], lower[0], lower[1]}) {
        const auto value = std::bit_cast<float>(word);
        // Only a NaN differs from itself.
        const bool valid = value == value;
        sum += valid ? static_cast<double>(value) : 0.0;
        count += valid ? 1 : 0;
    }
    const auto mean = static_cast<float>(sum / std::max(count, 1));
    return count > 0 ? std::bit_cast<std::uint32_t>(mean) : nan_word;
}

std::size_t quadrant(bool right, bool lower)
{
    return (lower ? half * side : 0) + (right ? half : 0);
}

/// Calls visit(word, count) for runs of equal cells, in order. A run may be cut into several.
template <typename Visit>
void for_each_run(ConstTileWords tile, Visit&& visit)
{
    for (std::size_t from = 0; from < tile_cells; from += stretch) {
        const std::uint32_t* words = tile.data() + from;
        if (is_uniform(words)) {
            visit(words[0], stretch);
            continue;
        }
        for (std::size_t at = 0; at < stretch;) {
            const std::size_t start = at++;
            while (at < stretch && words[at] == words[start])
                ++at;
            visit(words[start], at - start);
        }
    }
}

} // namespace

void BandStats::join(const BandStats& other)
{
    if (other.count == 0)
        return;
    const auto mine = static_cast<double>(count);
    const auto theirs = static_cast<double>(other.count);
    const double all = mine + theirs;
    const double step = other.mean - mean;
    mean += step * theirs / all;
    squares += other.squares + step * step * mine * theirs / all;
    count += other.count;
    smallest = std::min(smallest, other.smallest);
    largest = std::max(largest, other.largest);
}

double BandStats::deviation() const
{
    return count > 0 ? std::sqrt(squares / static_cast<double>(count)) : 0;
}

BandStats float_stats(ConstTileWords tile)
{
    Sums<double> sums;
    for_each_run(tile, [&](std::uint32_t word, std::size_t times) {
        const auto value = static_cast<double>(std::bit_cast<float>(word));
        if (value == value)
            sums.add(value, times);
    });
    return sums.stats();
}

std::array<BandStats, 2> pair_stats(ConstTileWords tile)
{
    std::array<Sums<std::uint64_t>, 2> bands;
    for_each_run(tile, [&](std::uint32_t word, std::size_t times) {
        const std::array<std::uint32_t, 2> values{word & 0xffffU, word >> 16U};
        for (std::size_t band = 0; band < 2; ++band)
            if (values[band] != no_data_16)
                bands[band].add(values[band], times);
    });
    return {bands[0].stats(), bands[1].stats()};
}

bool has_valid_cell(ConstTileWords tile, bool floats)
{
    for (const std::uint32_t word : tile) {
        const auto value = std::bit_cast<float>(word);
        if (floats ? value == value : word != no_data_word)
            return true;
    }
    return false;
}

void copy_padded(ConstTileWords from, int cols, int rows, std::uint32_t fill, TileWords tile)
{
    std::ranges::fill(tile, fill);
    for (std::size_t row = 0; row < static_cast<std::size_t>(rows); ++row)
        std::ranges::copy(from.subspan(row * side, static_cast<std::size_t>(cols)),
                          tile.begin() + static_cast<std::ptrdiff_t>(row * side));
}

void average_into(ConstTileWords tile, bool right, bool lower, TileWords parent)
{
    constexpr std::size_t step = stretch / 2; // cells of the parent over one stretch of the tile
    for (std::size_t row = 0; row < half; ++row) {
        const std::uint32_t* upper_row = tile.data() + 2 * row * side;
        const std::uint32_t* lower_row = upper_row + side;
        std::uint32_t* out = parent.data() + quadrant(right, lower) + row * side;
        for (std::size_t col = 0; col < half; col += step) {
            const std::size_t from = 2 * col;
            if (upper_row[from] == lower_row[from] && is_uniform(upper_row + from) &&
                is_uniform(lower_row + from))
                std::fill_n(out + col, step, upper_row[from]);
            else
                for (std::size_t k = col; k < col + step; ++k)
                    out[k] = mean_of_valid(upper_row + 2 * k, lower_row + 2 * k);
        }
    }
}

void thin_into(ConstTileWords tile, bool right, bool lower, TileWords parent)
{
    for (std::size_t row = 0; row < half; ++row) {
        const std::uint32_t* from = tile.data() + 2 * row * side;
        std::uint32_t* out = parent.data() + quadrant(right, lower) + row * side;
        for (std::size_t col = 0; col < half; ++col)
            out[col] = from[2 * col];
    }
}

} // namespace fuelring
