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

template <typename T>
T sum_of(const std::array<T, lanes>& lane)
{
    T sum{};
    for (const T v : lane)
        sum += v;
    return sum;
}

BandStats from_sums(std::int64_t count, double sum, double sum_of_squares, double smallest,
                    double largest)
{
    if (count == 0)
        return {};
    const double mean = sum / static_cast<double>(count);
    return {count, smallest, largest, mean, std::max(sum_of_squares - sum * mean, 0.0)};
}

std::size_t quadrant(bool right, bool lower)
{
    return (lower ? half * side : 0) + (right ? half : 0);
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
    std::array<double, lanes> sum{};
    std::array<double, lanes> sum_of_squares{};
    std::array<std::int32_t, lanes> count{};
    std::array<float, lanes> smallest;
    std::array<float, lanes> largest;
    smallest.fill(std::numeric_limits<float>::infinity());
    largest.fill(-std::numeric_limits<float>::infinity());
    for (std::size_t at = 0; at < tile_cells; at += lanes) {
        for (std::size_t k = 0; k < lanes; ++k) {
            const auto value = std::bit_cast<float>(tile[at + k]);
            const bool valid = value == value;
            const double v = valid ? static_cast<double>(value) : 0.0;
            sum[k] += v;
            sum_of_squares[k] += v * v;
            count[k] += valid ? 1 : 0;
            smallest[k] = value < smallest[k] ? value : smallest[k]; // NaN is never below or above
            largest[k] = value > largest[k] ? value : largest[k];
        }
    }
    return from_sums(sum_of(count), sum_of(sum), sum_of(sum_of_squares),
                     static_cast<double>(*std::ranges::min_element(smallest)),
                     static_cast<double>(*std::ranges::max_element(largest)));
}

BandStats pair_stats(ConstTileWords tile, int band)
{
    const int shift = band == 0 ? 0 : 16;
    std::array<std::uint64_t, lanes> sum{};
    std::array<std::uint64_t, lanes> sum_of_squares{};
    std::array<std::uint32_t, lanes> count{};
    std::array<std::uint32_t, lanes> smallest;
    std::array<std::uint32_t, lanes> largest{};
    smallest.fill(no_data_16);
    for (std::size_t at = 0; at < tile_cells; at += lanes) {
        for (std::size_t k = 0; k < lanes; ++k) {
            const std::uint32_t value = (tile[at + k] >> shift) & 0xffffU;
            const bool valid = value != no_data_16;
            const std::uint32_t v = valid ? value : 0;
            sum[k] += v;
            sum_of_squares[k] += std::uint64_t{v} * v;
            count[k] += valid ? 1 : 0;
            smallest[k] = std::min(smallest[k], value); // nodata is the largest value there is
            largest[k] = std::max(largest[k], v);
        }
    }
    return from_sums(sum_of(count), static_cast<double>(sum_of(sum)),
                     static_cast<double>(sum_of(sum_of_squares)),
                     *std::ranges::min_element(smallest), *std::ranges::max_element(largest));
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
    for (std::size_t row = 0; row < half; ++row) {
        const std::uint32_t* upper_row = tile.data() + 2 * row * side;
        std::uint32_t* out = parent.data() + quadrant(right, lower) + row * side;
        for (std::size_t col = 0; col < half; ++col) {
            const std::array<std::uint32_t, 4> words = {upper_row[2 * col], upper_row[2 * col + 1],
                                                        upper_row[side + 2 * col],
                                                        upper_row[side + 2 * col + 1]};
            double sum = 0;
            int count = 0;
            for (const std::uint32_t word : words) {
                const auto value = std::bit_cast<float>(word);
                const bool valid = value == value;
                sum += valid ? static_cast<double>(value) : 0.0;
                count += valid ? 1 : 0;
            }
            const auto mean = static_cast<float>(sum / std::max(count, 1));
            out[col] = count > 0 ? std::bit_cast<std::uint32_t>(mean) : nan_word;
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
