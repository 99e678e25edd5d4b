// SPDX-License-Identifier: Apache-2.0

// Sums over squares, by rows and then by columns. A running sum would be quicker for wide squares,
// but its last bits depend on where it began: here every square is summed for itself, always from
// its first row and column on.
#include "imagery/planes.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace fuelring {

namespace {

constexpr float unknown = std::numeric_limits<float>::quiet_NaN();

/// combine(into, from) over the 2 radius + 1 neighbours along a row or a column.
template <typename Combine>
void pass(const Plane& from, Plane& to, WindowSize size, int radius, bool along_rows,
          const Combine& combine)
{
    const auto stride = static_cast<std::ptrdiff_t>(along_rows ? 1 : size.cols);
    for (int row = 0; row < size.rows; ++row) {
        const std::ptrdiff_t begin = std::ptrdiff_t{row} * size.cols;
        for (int step = -radius; step <= radius; ++step) {
            if (!along_rows && (row + step < 0 || row + step >= size.rows))
                continue;
            const int first = along_rows ? std::max(0, -step) : 0;
            const int last = along_rows ? std::min(size.cols, size.cols - step) : size.cols;
            const float* source = from.data() + begin + step * stride;
            float* target = to.data() + begin;
            for (int col = first; col < last; ++col)
                target[col] = combine(target[col], source[col]);
        }
    }
}

/// Sums over squares.
Plane square_sums(const Plane& values, WindowSize size, int radius)
{
    const auto add = [](float a, float b) { return a + b; };
    Plane by_row(values.size(), 0.0F);
    pass(values, by_row, size, radius, true, add);
    Plane sums(values.size(), 0.0F);
    pass(by_row, sums, size, radius, false, add);
    return sums;
}

/// How many cells each square has within the window.
Plane square_sizes(WindowSize size, int radius)
{
    const auto cells_along = [radius](int at, int count) {
        return static_cast<float>(std::min(count - 1, at + radius) - std::max(0, at - radius) + 1);
    };
    Plane sizes;
    sizes.reserve(size.cells());
    for (int row = 0; row < size.rows; ++row)
        for (int col = 0; col < size.cols; ++col)
            sizes.push_back(cells_along(row, size.rows) * cells_along(col, size.cols));
    return sizes;
}

/// The plane with 0 for what is unknown, and how many are known in each square.
struct Known {
    Plane values;
    Plane count;
};
Known known_of(const Plane& plane, WindowSize size, int radius)
{
    Known known{plane, Plane(plane.size())};
    bool all = true;
    for (std::size_t i = 0; i < plane.size(); ++i) {
        const bool is_known = !std::isnan(plane[i]);
        all = all && is_known;
        known.count[i] = is_known ? 1.0F : 0.0F;
        known.values[i] = is_known ? plane[i] : 0.0F;
    }
    known.count = all ? square_sizes(size, radius) : square_sums(known.count, size, radius);
    return known;
}

/// Sums into means.
void divide(Plane& sums, const Plane& count)
{
    for (std::size_t i = 0; i < sums.size(); ++i)
        sums[i] = count[i] > 0 ? sums[i] / count[i] : unknown;
}

} // namespace

Plane mean_around(const Plane& plane, WindowSize size, int radius)
{
    const Known known = known_of(plane, size, radius);
    Plane mean = square_sums(known.values, size, radius);
    divide(mean, known.count);
    return mean;
}

Surroundings surroundings(const Plane& plane, WindowSize size, int radius)
{
    const Known known = known_of(plane, size, radius);
    Surroundings around{square_sums(known.values, size, radius), {}};
    divide(around.mean, known.count);
    Plane squares(plane.size());
    around.deviation.resize(plane.size());
    std::ranges::transform(known.values, squares.begin(), [](float v) { return v * v; });
    squares = square_sums(squares, size, radius);
    divide(squares, known.count);
    for (std::size_t i = 0; i < plane.size(); ++i)
        around.deviation[i] =
            std::sqrt(std::max(squares[i] - around.mean[i] * around.mean[i], 0.0F));
    return around;
}

Plane largest_around(const Plane& plane, WindowSize size, int radius)
{
    const auto larger = [](float a, float b) { return a > b ? a : b; };
    constexpr float lowest = std::numeric_limits<float>::lowest();
    Plane values(plane);
    for (float& value : values)
        value = std::isnan(value) ? lowest : value;
    Plane by_row(plane.size(), lowest);
    pass(values, by_row, size, radius, true, larger);
    Plane most(plane.size(), lowest);
    pass(by_row, most, size, radius, false, larger);
    for (float& value : most)
        value = value == lowest ? unknown : value;
    return most;
}

} // namespace fuelring
