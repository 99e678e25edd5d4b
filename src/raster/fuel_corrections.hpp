// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/fuel_classes.hpp>
#include <fuelring/grid.hpp>

#include <algorithm>
#include <cstdint>
#include <span>
#include <vector>

namespace fuelring {

/// Cells of one row: columns [col, col + cols).
/// Rows and columns are those of the analysis grid, from its first corner. Empty as made.
struct CellRun {
    std::int64_t row = 0;
    std::int64_t col = 0;
    std::int64_t cols = 0;

    /// The column behind the last one.
    std::int64_t end() const { return col + cols; }
    /// Whether `next` goes on where this one ends.
    bool ends_at(const CellRun& next) const { return row == next.row && end() == next.col; }
    /// One row high.
    CellRect rect() const { return {col, row, cols, 1}; }
};

/// Cells of the analysis grid whose class is not what the raster says: what a visit found there.
/// Read by many threads at once; nothing changes it after it was made.
class FuelCorrections {
public:
    /// A cell, by row and column of the analysis grid, and the index of its class.
    struct Cell {
        std::int64_t row = 0;
        std::int64_t col = 0;
        ClassIndex becomes = no_data_class;
    };
    /// Neighbours in a row that become the same class, told as one.
    struct Run : CellRun {
        ClassIndex becomes = no_data_class;
    };
    FuelCorrections() = default;
    /// `cells` by row and column, each once; off the raster too, where they change nothing.
    /// The order is not checked: `first_from` searches by halves and relies on it.
    explicit FuelCorrections(const std::vector<Cell>& cells);

    /// As many as were given, those off the raster among them.
    std::int64_t cells() const { return cells_; } ///< how many are corrected
    /// Puts the corrected classes into a window. Shape: `window` holds the cells of `rect` row by
    /// row, without gaps.
    /// Cells of `window` without a correction keep their class. Its size is not checked.
    void apply(const CellRect& rect, std::span<ClassIndex> window) const;

    /// Calls visit(run) for each stretch of corrected cells that meets a rectangle, cut to it, by
    /// row and column, until it returns false.
    /// Cost: log(all runs) to find the first row, then the runs of the rectangle's rows.
    template <typename Visit>
    void for_each_run(const CellRect& rect, Visit&& visit) const
    {
        // Runs lie in one row each, so those of a rectangle stand one behind the other.
        for (std::size_t k = first_from(rect.row); k < runs_.size(); ++k) {
            const Run& run = runs_[k];
            if (run.row >= rect.row + rect.rows)
                return;
            const std::int64_t from = std::max(run.col, rect.col);
            const std::int64_t to = std::min(run.end(), rect.col + rect.cols);
            if (from < to && !visit(Run{{run.row, from, to - from}, run.becomes}))
                return;
        }
    }

private:
    /// Number of the first run in this row or below it; that of all runs where there is none.
    std::size_t first_from(std::int64_t row) const;

    std::vector<Run> runs_; ///< by row and column
    std::int64_t cells_ = 0;
};

} // namespace fuelring
