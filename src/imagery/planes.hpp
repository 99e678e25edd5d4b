// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <functional>
#include <vector>

namespace fuelring {

/// Values of one kind over a window of cells, row by row; NaN is unknown.
using Plane = std::vector<float>;

/// Size of a window, in cells.
struct WindowSize {
    int cols = 0;
    int rows = 0;
    std::size_t cells() const
    {
        return static_cast<std::size_t>(cols) * static_cast<std::size_t>(rows);
    }
    /// Without so many cells along every side.
    WindowSize inside(int margin) const { return {cols - 2 * margin, rows - 2 * margin}; }
    friend bool operator==(const WindowSize&, const WindowSize&) = default;
};

/// Rows of a window, each asked for once, from the first on: fill(row, into) writes its columns.
/// Values that are computed when they are needed take no plane.
using FillRow = std::function<void(int row, float* into)>;
/// Of a plane that outlives it.
FillRow rows_of(const Plane& plane, WindowSize size);

/// Squares of 2 radius + 1 cells a side around the cells of a window, but for its margin.
/// What they tell is of known cells only, NaN where there are none.
/// Shape: results are planes of size.inside(margin); a square that reaches over the window's edge,
/// which none does where margin >= radius, sees only what is in it.
/// Law: a function of the square's own cells, summed in one order, so that the bits do not depend
/// on where a window begins.
struct Squares {
    WindowSize size;
    int radius = 1;
    int margin = 0;

    void mean(const FillRow& fill, Plane& mean) const;
    /// The mean, and the deviation of the population.
    void mean_and_deviation(const FillRow& fill, Plane& mean, Plane& deviation) const;
    void largest(const FillRow& fill, Plane& largest) const;
};

} // namespace fuelring
