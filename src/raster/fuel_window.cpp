// SPDX-License-Identifier: Apache-2.0
#include "geometry/require.hpp"

#include <fuelring/fuel_window.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <stdexcept>

// Summed along rows once, the fuel of any stretch of a row is the difference of two numbers. Shares
// are ten-thousandths, so sums are whole numbers: no order of adding and no place where a window
// begins changes a bit of what is measured. Sums of four kinds lie next to each other, 16 bytes, so
// that a stretch reads one line of the cache.
namespace fuelring {

namespace {

/// Widest row whose sums of ten-thousandths stay within 32 bits: 2^31 / 10,000 = 214,748.
constexpr std::int64_t widest_row_cells = 200'000;

/// Exactly one of mapped and unmapped; conifers and other fuel share what is mapped.
bool is_one_cell(const FuelSum& c)
{
    return c.conifer >= 0 && c.other_burnable >= 0 && c.conifer <= whole_share &&
           c.other_burnable <= whole_share - c.conifer && (c.mapped == 0 || c.mapped == 1) &&
           c.unmapped == 1 - c.mapped && (c.mapped == 1 || c.conifer + c.other_burnable == 0);
}

void require_cells(const CellRect& rect, std::span<const ClassIndex> cells, std::size_t stride,
                   std::span<const FuelSum> contribution_of_class)
{
    require(!rect.empty() && rect.is_countable(), "FuelWindow: the rectangle has no cells");
    if (rect.cols > widest_row_cells)
        throw std::length_error("FuelWindow: row too wide for 32-bit sums");
    const auto cols = static_cast<std::size_t>(rect.cols);
    const auto rows = static_cast<std::size_t>(rect.rows);
    require(stride >= cols, "FuelWindow: the stride is less than the columns");
    // The last row need not be padded to the stride; divided, not multiplied, so nothing overflows.
    require(cells.size() >= cols && (cells.size() - cols) / stride >= rows - 1,
            "FuelWindow: fewer cells than its rows need");
    ClassIndex largest = 0;
    for (std::size_t row = 0; row < rows; ++row)
        for (const ClassIndex c : cells.subspan(row * stride, cols))
            largest = std::max(largest, c);
    if (largest >= contribution_of_class.size())
        throw std::invalid_argument{fmt::format("FuelWindow: class {} of a table of {} rows",
                                                largest, contribution_of_class.size())};
    require(std::all_of(contribution_of_class.begin(), contribution_of_class.end(), is_one_cell),
            "FuelWindow: a contribution is not that of one cell");
}

} // namespace

std::vector<FuelSum> contributions(const FuelClassTable& classes)
{
    std::vector<FuelSum> result;
    result.reserve(classes.rows().size());
    for (const FuelClass& c : classes.rows()) {
        FuelSum sum;
        if (c.group == FuelGroup::unmapped) {
            sum.unmapped = 1;
        } else {
            sum.mapped = 1;
            sum.conifer = c.conifer_share;
            sum.other_burnable = is_vegetation(c.group) ? whole_share - c.conifer_share : 0;
        }
        result.push_back(sum);
    }
    return result;
}

FuelWindow::FuelWindow(const CellRect& rect, std::span<const ClassIndex> cells, std::size_t stride,
                       std::span<const FuelSum> contribution_of_class)
    : rect_(rect)
{
    require_cells(rect, cells, stride, contribution_of_class);
    const auto cols = static_cast<std::size_t>(rect.cols);
    const auto rows = static_cast<std::size_t>(rect.rows);
    // A row of n cells has n + 1 sums: the first is 0, so the left rim is no special case.
    const std::shared_ptr<FuelSum[]> sums{new FuelSum[rows * (cols + 1)]};
    sums_ = sums;
    FuelSum* out = sums.get();
    for (std::size_t row = 0; row < rows; ++row) {
        const ClassIndex* in = cells.data() + row * stride;
        FuelSum sum;
        for (std::size_t col = 0; col < cols; ++col) {
            *out++ = sum;
            const FuelSum& add = contribution_of_class[in[col]];
            sum.conifer += add.conifer;
            sum.other_burnable += add.other_burnable;
            sum.mapped += add.mapped;
            sum.unmapped += add.unmapped;
        }
        *out++ = sum;
    }
}

void FuelWindow::refuse(std::int64_t row, std::int64_t col) const
{
    throw std::out_of_range{fmt::format("FuelWindow: row {}, column {} of a window of rows {} to "
                                        "{}, columns {} to {}",
                                        row, col, rect_.row, rect_.row + rect_.rows - 1, rect_.col,
                                        rect_.col + rect_.cols)};
}

} // namespace fuelring
