// SPDX-License-Identifier: Apache-2.0
#include "io/raster_out_cells.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstddef>

namespace fuelring {

namespace {

constexpr std::size_t side = tile_side;
constexpr std::size_t half = side / 2;
/// Sums run in this many independent lanes, a fixed number: the same bits on every machine.
constexpr std::size_t lanes = 8;

/// Most of a tile is runs of one value, so cells are looked at in stretches first.
constexpr std::size_t stretch = 64;
static_assert(half % stretch == 0 && stretch % lanes == 0);

bool is_uniform(const std::uint32_t* words)
{
    std::uint32_t differences = 0;
    for (std::size_t k = 1; k < stretch; ++k)
        differences |= words[k] ^ words[0];
    return differences == 0;
}

template <typename T>
T sum_of(const std::array<T, lanes>& lane)
{
    T sum{};
    for (const T v : lane)
        sum += v;
    return sum;
}

BandStats from_sums(std::uint32_t count, double sum, double sum_of_squares, double smallest,
                    double largest)
{
    if (count == 0)
        return {};
    const double mean = sum / static_cast<double>(count);
    return {count, smallest, largest, mean, std::max(sum_of_squares - sum * mean, 0.0)};
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

/// Sums over cells of one band; valid cells have values of type T.
template <typename T, typename Sum>
struct Sums {
    std::array<Sum, lanes> sum{};
    std::array<Sum, lanes> squares{};
    std::array<std::uint32_t, lanes> count{};
    std::array<T, lanes> smallest;
    std::array<T, lanes> largest;

    Sums(T above_all, T below_all)
    {
        smallest.fill(above_all);
        largest.fill(below_all);
    }
    void add(std::size_t lane, T value, bool valid, std::uint32_t times)
    {
        const Sum v = valid ? static_cast<Sum>(value) : Sum{};
        sum[lane] += v * static_cast<Sum>(times);
        squares[lane] += v * v * static_cast<Sum>(times);
        count[lane] += valid ? times : 0;
        smallest[lane] = valid && value < smallest[lane] ? value : smallest[lane];
        largest[lane] = valid && value > largest[lane] ? value : largest[lane];
    }
    BandStats stats() const
    {
        return from_sums(sum_of(count), static_cast<double>(sum_of(sum)),
                         static_cast<double>(sum_of(squares)),
                         static_cast<double>(*std::ranges::min_element(smallest)),
                         static_cast<double>(*std::ranges::max_element(largest)));
    }
};

/// Adds every cell: `value_of(word)` gives the value, `valid(value)` whether it counts.
template <typename Sums, typename ValueOf, typename Valid>
void add_cells(ConstTileWords tile, Sums& sums, ValueOf value_of, Valid valid)
{
    for (std::size_t from = 0; from < tile_cells; from += stretch) {
        const std::uint32_t* words = tile.data() + from;
        if (is_uniform(words)) {
            const auto value = value_of(words[0]);
            sums.add(0, value, valid(value), stretch);
            continue;
        }
        for (std::size_t at = 0; at < stretch; at += lanes) {
            for (std::size_t lane = 0; lane < lanes; ++lane) {
                const auto value = value_of(words[at + lane]);
                sums.add(lane, value, valid(value), 1);
            }
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
    constexpr float infinity = std::numeric_limits<float>::infinity();
    Sums<float, double> sums{infinity, -infinity};
    add_cells(
        tile, sums, [](std::uint32_t word) { return std::bit_cast<float>(word); },
        [](float value) { return value == value; });
    return sums.stats();
}

BandStats pair_stats(ConstTileWords tile, int band)
{
    const int shift = band == 0 ? 0 : 16;
    Sums<std::uint32_t, std::uint64_t> sums{no_data_16, 0};
    add_cells(
        tile, sums, [shift](std::uint32_t word) { return (word >> shift) & 0xffffU; },
        [](std::uint32_t value) { return value != no_data_16; });
    return sums.stats();
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
