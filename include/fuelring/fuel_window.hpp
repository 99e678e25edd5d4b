// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/export.hpp>
#include <fuelring/fuel_classes.hpp>
#include <fuelring/grid.hpp>

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <vector>

namespace fuelring {

/// What the integrals add up for one cell, or the sum over cells [0, k) of one row.
/// Plain integers: sums are exact, so they do not depend on where a window begins.
struct alignas(16) FuelSum {
    std::int32_t conifer = 0;        ///< ten-thousandths of conifer share
    std::int32_t other_burnable = 0; ///< ten-thousandths of (1 - share) on vegetation
    std::int32_t mapped = 0;         ///< 1 where the class is known
    std::int32_t unmapped = 0;       ///< 1 where it is not, off the raster included
};

/// The contribution of one cell of each class of a table, by class index.
FUELRING_EXPORT std::vector<FuelSum> contributions(const FuelClassTable& classes);

/// Running row sums of the fuel in a rectangle of cells, which may reach off the raster.
class FUELRING_EXPORT FuelWindow {
public:
    /// `cells` are the class indices of `rect`, row by row from the top; `stride` is the distance
    /// of rows in `cells`. Law: sum(row, k) = contributions of the first k cells of that row.
    /// Throws: std::length_error when a row is too wide for 32-bit sums (over 200,000 cells);
    /// std::invalid_argument for an empty `rect`, a stride below its columns, fewer cells than rows
    /// need, a class that has no contribution, and a contribution that is none of one cell: mapped
    /// or unmapped, shares not below 0 and together at most 10,000.
    FuelWindow(const CellRect& rect, std::span<const ClassIndex> cells, std::size_t stride,
               std::span<const FuelSum> contribution_of_class);

    const CellRect& rect() const { return rect_; }
    /// True where the window has `sum(row, col)`: the rows of rect(), columns rect.col to rect.col
    /// + cols.
    bool has_sum(std::int64_t row, std::int64_t col) const
    {
        return row >= rect_.row && row < rect_.row + rect_.rows && col >= rect_.col &&
               col <= rect_.col + rect_.cols;
    }
    /// Row sums, indexed by raster row and column.
    /// Throws: std::out_of_range where has_sum() is false.
    const FuelSum& sum(std::int64_t row, std::int64_t col) const
    {
        if (!has_sum(row, col))
            refuse(row, col);
        return sums_[static_cast<std::ptrdiff_t>((row - rect_.row) * (rect_.cols + 1) +
                                                 (col - rect_.col))];
    }

private:
    [[noreturn]] void refuse(std::int64_t row, std::int64_t col) const;

    CellRect rect_;
    std::shared_ptr<const FuelSum[]> sums_; ///< never changed, so copies share them
};

} // namespace fuelring
