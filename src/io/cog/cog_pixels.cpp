// SPDX-License-Identifier: Apache-2.0
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

BandStats from_sums(std::size_t count, double sum, double sum_of_squares, double smallest,
                    double largest)
{
    if (count == 0)
        return {};
    const double mean = sum / static_cast<double>(count);
    return {static_cast<std::int64_t>(count), smallest, largest, mean,
            std::max(sum_of_squares - sum * mean, 0.0)};
}

/// Mean of the valid floats of two cells in the upper and two in the lower row.
std::uint32_t mean_of_valid(const std::uint32_t* upper, const std::uint32_t* lower)
{
    double sum = 0;
    int count = 0;
    for (const std::uint32_t word : {upper[0], upper[1], lower[0], lower[1]}) {
        const auto value = std::bit_cast<float>(word);
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
    std::size_t count = 0;
    double sum = 0;
    double squares = 0;
    double smallest = std::numeric_limits<double>::infinity();
    double largest = -smallest;
    for_each_run(tile, [&](std::uint32_t word, std::size_t times) {
        const auto value = static_cast<double>(std::bit_cast<float>(word));
        if (value != value)
            return;
        const auto weight = static_cast<double>(times);
        count += times;
        sum += weight * value;
        squares += weight * value * value;
        smallest = std::min(smallest, value);
        largest = std::max(largest, value);
    });
    return from_sums(count, sum, squares, smallest, largest);
}

std::array<BandStats, 2> pair_stats(ConstTileWords tile)
{
    struct Band {
        std::uint64_t count = 0;
        std::uint64_t sum = 0;
        std::uint64_t squares = 0;
        std::uint32_t smallest = no_data_16;
        std::uint32_t largest = 0;

        void add(std::uint32_t value, std::uint64_t times)
        {
            if (value == no_data_16)
                return;
            count += times;
            sum += times * value;
            squares += times * value * value;
            smallest = std::min(smallest, value);
            largest = std::max(largest, value);
        }
        BandStats stats() const
        {
            return from_sums(count, static_cast<double>(sum), static_cast<double>(squares),
                             smallest, largest);
        }
    };
    Band low;
    Band high;
    for_each_run(tile, [&](std::uint32_t word, std::size_t times) {
        low.add(word & 0xffffU, times);
        high.add(word >> 16U, times);
    });
    return {low.stats(), high.stats()};
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
