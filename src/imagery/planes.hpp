// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
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
    friend bool operator==(const WindowSize&, const WindowSize&) = default;
};

/// What stands around each cell, in the square of 2 radius + 1 cells a side about it: over known
/// cells only, NaN where there are none.
/// Shape: as the plane; cells nearer to the window's edge than `radius` see only what is in it.
/// Law: a function of the square's own cells, summed in one order, so that the bits do not depend
/// on where a window begins.
struct Surroundings {
    Plane mean;
    Plane deviation; ///< of the population
};
Surroundings surroundings(const Plane& plane, WindowSize size, int radius);

/// The mean alone.
Plane mean_around(const Plane& plane, WindowSize size, int radius);

/// The largest known value of the same squares.
Plane largest_around(const Plane& plane, WindowSize size, int radius);

} // namespace fuelring
