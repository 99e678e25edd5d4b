// SPDX-License-Identifier: Apache-2.0

// Visits correct patches, not scattered cells: runs are far fewer than cells, and a window that
// holds no correction costs one search by halves.
#include "raster/fuel_corrections.hpp"

namespace fuelring {

FuelCorrections::FuelCorrections(const std::vector<Cell>& cells)
    : cells_(static_cast<std::int64_t>(cells.size()))
{
    for (const Cell& cell : cells) {
        const Run run{{cell.row, cell.col, 1}, cell.becomes};
        if (!runs_.empty() && runs_.back().ends_at(run) && runs_.back().becomes == run.becomes)
            ++runs_.back().cols;
        else
            runs_.push_back(run);
    }
}

// Runs are in order of rows: those above `row` come first.
std::size_t FuelCorrections::first_from(std::int64_t row) const
{
    return static_cast<std::size_t>(
        std::partition_point(runs_.begin(), runs_.end(),
                             [row](const Run& run) { return run.row < row; }) -
        runs_.begin());
}

void FuelCorrections::apply(const CellRect& rect, std::span<ClassIndex> window) const
{
    for_each_run(rect, [&](const Run& run) {
        const auto first =
            static_cast<std::size_t>((run.row - rect.row) * rect.cols + run.col - rect.col);
        std::fill_n(window.begin() + static_cast<std::ptrdiff_t>(first), run.cols, run.becomes);
        return true;
    });
}

} // namespace fuelring
