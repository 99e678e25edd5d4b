// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/vector/named_outlines.hpp"

#include <fuelring/grid.hpp>
#include <fuelring/outline.hpp>

#include <cstdint>
#include <map>
#include <span>
#include <string>
#include <vector>

namespace fuelring {

/// Which of several names holds most of each cell, by exact overlap.
class Majority {
public:
    /// `names` in the order that decides between equal shares; outlines of other names are left
    /// out. What no outline covers counts as names.size(), the last of them all.
    Majority(const std::vector<NamedOutline>& outlines, std::vector<std::string> names,
             const Grid& grid);

    const std::vector<std::string>& names() const { return names_; }

    /// Buffers of one worker.
    struct Planes {
        std::vector<std::uint64_t> cover, rest, best;
    };
    /// The index into names() of each cell of a block of 512 x 512 cells that starts at a multiple
    /// of 512, row by row. For any thread.
    void of_cells(const CellRect& rect, Planes& planes, std::span<std::uint16_t> names) const;

private:
    struct Shape {
        Outline outline;
        CellFrame frame;
        std::size_t name;
    };
    std::vector<std::string> names_;
    Grid grid_;
    std::vector<Shape> shapes_;
    /// Shapes by block (row, column), sorted by name.
    std::map<std::pair<std::int64_t, std::int64_t>, std::vector<std::size_t>> shapes_of_;
};

} // namespace fuelring
