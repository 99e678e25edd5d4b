// SPDX-License-Identifier: Apache-2.0

// Treatment without a second raster: a treated cell gets another class index, most often beyond the
// table's, and the class there contributes what treatment leaves. Each way of treatment (how much
// of a cell, what stays) has a list of what becomes of the table's classes; classes that contribute
// the same are one, since a raster of shares has ten thousand. Stretches of treated cells are
// sorted by row and column with an index of rows, so that a window finds its own by one search in
// each of its rows.
#include "run/stages/treated_fuel.hpp"

#include <fuelring/error.hpp>

#include <algorithm>
#include <tuple>

namespace fuelring {

namespace {

std::array<std::int32_t, 4> values_of(const FuelSum& sum)
{
    return {sum.conifer, sum.other_burnable, sum.mapped, sum.unmapped};
}

} // namespace

TreatedFuel::TreatedFuel(const FuelClassTable& classes, const std::vector<TreatedRun>& runs)
    : contributions_(fuelring::contributions(classes))
{
    for (ClassIndex k = 0; k < contributions_.size(); ++k)
        classes_.try_emplace(values_of(contributions_[k]), k);
    std::vector<const TreatedRun*> sorted;
    for (const TreatedRun& run : runs)
        sorted.push_back(&run);
    std::sort(sorted.begin(), sorted.end(), [](const TreatedRun* a, const TreatedRun* b) {
        return std::tie(a->cells.row, a->cells.col, a->unit) <
               std::tie(b->cells.row, b->cells.col, b->unit);
    });
    for (std::size_t k = 0, next = 0; k < sorted.size(); k = next) {
        const plan::CellRun& cells = sorted[k]->cells;
        Ways ways;
        for (; next < sorted.size() && sorted[next]->cells.row == cells.row &&
               sorted[next]->cells.col == cells.col;
             ++next)
            ways.push_back(sorted[next]->treatment);
        runs_.push_back(
            {cells.row, cells.col, cells.cols, sorted[k]->unit, number_of(ways, classes)});
        for (std::size_t other = k + 1; other < next; ++other)
            runs_.push_back({cells.row, cells.col, cells.cols, sorted[other]->unit, 0});
    }
    index_rows();
}

ClassIndex TreatedFuel::class_of(const FuelSum& sum)
{
    const auto [known, is_new] =
        classes_.try_emplace(values_of(sum), static_cast<ClassIndex>(contributions_.size()));
    if (!is_new)
        return known->second;
    if (contributions_.size() >= UINT16_MAX)
        throw Error{Failure::usage, "the fuel-class table has too many rows for a plan",
                    "inputs.fuel.classes", "leave out classes that the raster does not have"};
    contributions_.push_back(sum);
    return known->second;
}

std::uint32_t TreatedFuel::number_of(const Ways& ways, const FuelClassTable& classes)
{
    const auto [known, is_new] =
        numbers_.try_emplace(ways, static_cast<std::uint32_t>(becomes_.size()));
    if (!is_new)
        return known->second;
    std::vector<ClassIndex>& becomes = becomes_.emplace_back();
    for (ClassIndex k = 0; k < classes.rows().size(); ++k) {
        FuelSum sum = contributions_[k];
        // In the integers that running sums add: before and after differ by whole units.
        std::int32_t removed = 0;
        for (const CellTreatment& way : ways)
            removed += way.removed_from(sum.conifer);
        sum.conifer -= removed;
        if (is_vegetation(classes[k].group))
            sum.other_burnable += removed;
        becomes.push_back(removed == 0 ? k : class_of(sum));
    }
    return known->second;
}

void TreatedFuel::index_rows()
{
    if (runs_.empty())
        return;
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
        if (run.ways == 0)
            return;
        const std::vector<ClassIndex>& becomes = becomes_[run.ways];
        const auto first =
            static_cast<std::size_t>((run.row - rect.row) * rect.cols + run.col - rect.col);
        for (std::size_t k = first; k < first + static_cast<std::size_t>(run.cols); ++k)
            cells[k] = becomes[cells[k]];
    });
}

} // namespace fuelring
