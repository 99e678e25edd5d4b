// SPDX-License-Identifier: Apache-2.0

// Treatment without a second raster: a treated cell gets a class index beyond the table's, and the
// class there contributes what thinning leaves. Stretches of treated cells are sorted by row and
// column with an index of rows, so that a window finds its own by one search in each of its rows.
#include "run/stages/treated_fuel.hpp"

#include <fuelring/error.hpp>

#include <algorithm>
#include <tuple>

namespace fuelring {

TreatedFuel::TreatedFuel(const FuelClassTable& classes, const std::vector<plan::Unit>& units,
                         const plan::Residual& residual)
    : classes_(static_cast<ClassIndex>(classes.rows().size())),
      contributions_(fuelring::contributions(classes))
{
    if (classes.rows().size() > UINT16_MAX / 2)
        throw Error{Failure::usage, "the fuel-class table has too many rows for a plan",
                    "inputs.fuel.classes", "leave out classes that the raster does not have"};
    for (ClassIndex k = 0; k < classes_; ++k) {
        FuelSum sum = contributions_[k];
        // In the integers that running sums add: before and after differ by whole units.
        const std::int32_t removed = sum.conifer - residual.of(sum.conifer);
        sum.conifer -= removed;
        if (is_vegetation(classes[k].group))
            sum.other_burnable += removed;
        contributions_.push_back(sum);
    }
    for (std::uint32_t u = 0; u < units.size(); ++u)
        for (const plan::CellRun& run : units[u].treated)
            runs_.push_back({run.row, run.col, run.cols, u});
    if (runs_.empty())
        return;
    std::sort(runs_.begin(), runs_.end(), [](const Run& a, const Run& b) {
        return std::tie(a.row, a.col) < std::tie(b.row, b.col);
    });
    first_row_ = runs_.front().row;
    row_first_.assign(static_cast<std::size_t>(runs_.back().row - first_row_) + 2, 0);
    for (const Run& run : runs_)
        ++row_first_[static_cast<std::size_t>(run.row - first_row_) + 1];
    for (std::size_t k = 1; k < row_first_.size(); ++k)
        row_first_[k] += row_first_[k - 1];
}

std::size_t TreatedFuel::first_beyond(std::int64_t row, std::int64_t col) const
{
    const auto begin = runs_.begin() + static_cast<std::ptrdiff_t>(
                                           row_first_[static_cast<std::size_t>(row - first_row_)]);
    const auto end = runs_.begin() + static_cast<std::ptrdiff_t>(row_end(row));
    return static_cast<std::size_t>(
        std::partition_point(begin, end,
                             [col](const Run& run) { return run.col + run.cols <= col; }) -
        runs_.begin());
}

void TreatedFuel::apply(const CellRect& rect, std::span<ClassIndex> cells) const
{
    runs(rect, [&](const Run& run) {
        const auto first =
            static_cast<std::size_t>((run.row - rect.row) * rect.cols + run.col - rect.col);
        for (std::size_t k = first; k < first + static_cast<std::size_t>(run.cols); ++k)
            cells[k] = static_cast<ClassIndex>(cells[k] + classes_);
    });
}

} // namespace fuelring
