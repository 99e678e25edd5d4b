// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/units.hpp"

#include <fuelring/fuel_classes.hpp>
#include <fuelring/fuel_window.hpp>

#include <cstdint>
#include <span>
#include <vector>

namespace fuelring {

/// The fuel raster as it will be: the cells of units with what treatment leaves of their conifers.
/// Behind the classes of the table stand as many again, each treated. What treatment takes from
/// the conifers of a class of vegetation counts as other burnable afterwards.
/// Law: a cell of no unit keeps its class. After construction from any number of threads.
class TreatedFuel {
public:
    /// Copies what it needs. Requires: no cell belongs to two units.
    /// Throws: Error{usage} where a table has more classes than leave room for as many again.
    TreatedFuel(const FuelClassTable& classes, const std::vector<plan::Unit>& units,
                const plan::Residual& residual);

    /// By class index, treated classes behind the others.
    const std::vector<FuelSum>& contributions() const { return contributions_; }
    /// Turns the classes of treated cells in a window into their treated ones. `cells` are those
    /// of `rect`, row by row; at most once for a window, since a treated class has no treated one.
    void apply(const CellRect& rect, std::span<ClassIndex> cells) const;

    /// A stretch of treated cells in one row of the raster.
    struct Run {
        std::int64_t row;
        std::int64_t col;
        std::int64_t cols;
        std::uint32_t unit; ///< index into `units` of the constructor
    };
    /// Calls visit(run) for each that meets a window, cut to it, by row and column.
    template <typename Visit>
    void runs(const CellRect& rect, Visit&& visit) const
    {
        for (std::int64_t row = std::max(rect.row, first_row_);
             row < std::min(rect.row + rect.rows, last_row()); ++row)
            for (std::size_t k = first_beyond(row, rect.col);
                 k < row_end(row) && runs_[k].col < rect.col + rect.cols; ++k) {
                const std::int64_t from = std::max(runs_[k].col, rect.col);
                const std::int64_t to =
                    std::min(runs_[k].col + runs_[k].cols, rect.col + rect.cols);
                visit(Run{row, from, to - from, runs_[k].unit});
            }
    }

private:
    std::int64_t last_row() const
    {
        return first_row_ + static_cast<std::int64_t>(row_first_.size()) - 1;
    }
    std::size_t row_end(std::int64_t row) const
    {
        return row_first_[static_cast<std::size_t>(row - first_row_) + 1];
    }
    /// The first run of the row that ends beyond a column.
    std::size_t first_beyond(std::int64_t row, std::int64_t col) const;

    ClassIndex classes_;
    std::vector<FuelSum> contributions_;
    std::vector<Run> runs_; ///< by row, column
    std::int64_t first_row_ = 0;
    /// Index of the first run of each row from first_row_ on, and the end.
    std::vector<std::size_t> row_first_{0};
};

} // namespace fuelring
