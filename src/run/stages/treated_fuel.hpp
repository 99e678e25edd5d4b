// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/units.hpp"

#include <fuelring/fuel_classes.hpp>
#include <fuelring/fuel_window.hpp>

#include <array>
#include <cstdint>
#include <map>
#include <span>
#include <utility>
#include <vector>

namespace fuelring {

/// What treatment does in a cell: to how much of it, and what it leaves of the conifers there.
struct CellTreatment {
    std::uint8_t hundredths = 100;
    plan::Residual residual{};

    /// What it takes from a cell's share of conifers, in ten-thousandths.
    std::int32_t removed_from(std::int32_t conifer_share) const
    {
        const auto whole = static_cast<std::uint16_t>(conifer_share);
        const std::int32_t share = plan::share_of_part(whole, hundredths);
        return share - residual.of(share);
    }
    friend auto operator<=>(const CellTreatment& a, const CellTreatment& b)
    {
        return std::pair{a.hundredths, a.residual.share} <=>
               std::pair{b.hundredths, b.residual.share};
    }
};

/// A stretch of cells that a unit treats alike.
struct TreatedRun {
    plan::CellRun cells;
    std::uint32_t unit = 0; ///< number of the unit, from 0
    CellTreatment treatment{};
};

/// The fuel raster as it will be: the cells of units with what treatment leaves of their conifers.
/// Behind the classes of the table stand those that treatment makes of them. What treatment takes
/// from the conifers of a class of vegetation counts as other burnable afterwards.
/// Law: a cell of no unit keeps its class. After construction from any number of threads.
class TreatedFuel {
public:
    /// Copies what it needs. Requires: two runs share no cell, or they are one cell each, the same,
    /// and their parts are a hundred hundredths at most.
    /// Throws: Error{usage} where treatment makes too many classes.
    TreatedFuel(const FuelClassTable& classes, const std::vector<TreatedRun>& runs);

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
        std::uint32_t unit; ///< that of the TreatedRun
        std::uint32_t ways; ///< number of its ways of treatment; 0: told by the run before it
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
                visit(Run{row, from, to - from, runs_[k].unit, runs_[k].ways});
            }
    }

private:
    /// The ways of treatment of a cell: that of one unit, or those of several, each of a part.
    using Ways = std::vector<CellTreatment>;

    /// Their number, from 1. Adds the classes that they make where they are new.
    std::uint32_t number_of(const Ways& ways, const FuelClassTable& classes);
    /// The class that contributes so much, made where there is none.
    ClassIndex class_of(const FuelSum& sum);
    void index_rows();
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

    std::vector<FuelSum> contributions_;
    std::map<std::array<std::int32_t, 4>, ClassIndex> classes_; ///< by what they contribute
    std::map<Ways, std::uint32_t> numbers_;
    std::vector<std::vector<ClassIndex>> becomes_{{}}; ///< by ways, then by class
    std::vector<Run> runs_;                            ///< by row, column
    std::int64_t first_row_ = 0;
    /// Index of the first run of each row from first_row_ on, and the end.
    std::vector<std::size_t> row_first_{0};
};

} // namespace fuelring
