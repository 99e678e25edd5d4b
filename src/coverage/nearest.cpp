// SPDX-License-Identifier: Apache-2.0

// Nearest conifer: rows are visited from the footprint outwards until the gap alone exceeds the
// best distance. In a row only the first conifer cell left and right of the footprint's bounding
// box and those between can be nearest: a cell further out in the same row is further from every
// point of the footprint. Row sums tell where conifer begins by binary search.
//
// Within a region that is no disc about the footprint a row's first conifer cell may lie outside.
// There the region is spread over the rows that hold conifer, as the surface does it, and every
// cell that gets some of it is tried.

#include "coverage/gather.hpp"
#include "coverage/scatter.hpp"
#include "geometry/box_distance.hpp"
#include "geometry/require.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace fuelring::coverage {

namespace {

/// Rounding that a boundary leaves in a cell that it only touches, in fixed point.
constexpr std::int64_t touching = 256;
constexpr double infinite = std::numeric_limits<double>::infinity();

class Search {
public:
    Search(const Footprint& footprint, const CellFrame& frame, const Grid& grid,
           const FuelWindow& fuel, const Box& reach, double limit_m)
        : footprint_(footprint), frame_(frame), grid_(grid), fuel_(fuel), box_(bounds(footprint)),
          // A cell at the limit itself counts: comparisons below are strict.
          best2_(std::nextafter(limit_m * limit_m, infinite))
    {
        reach_ = grid.cells_of(frame, reach);
        body_ = grid.cells_of(frame, box_);
        require(intersection(reach_, fuel.rect()) == reach_,
                "nearest_conifer_m: the window is too small");
    }

    std::optional<double> run()
    {
        for (std::int64_t row = body_.row; row < body_.row + body_.rows && best2_ > 0; ++row)
            visit_row(row);
        for (std::int64_t row = body_.row - 1; row >= reach_.row && within(row); --row)
            visit_row(row);
        for (std::int64_t row = body_.row + body_.rows;
             row < reach_.row + reach_.rows && within(row); ++row)
            visit_row(row);
        return best();
    }

    std::optional<double> run_within(const Outline& region)
    {
        CellRect rows = reach_;
        for (; rows.rows > 0 && !has_conifer(rows.row); --rows.rows)
            ++rows.row;
        while (rows.rows > 0 && !has_conifer(rows.row + rows.rows - 1))
            --rows.rows;
        if (rows.rows == 0)
            return {};
        std::vector<std::uint64_t> plane(static_cast<std::size_t>(rows.rows * rows.cols));
        scatter(region, frame_, grid_, Int128{1} << fixed_places, rows, plane);
        const std::uint64_t* cell = plane.data();
        for (std::int64_t row = rows.row; row < rows.row + rows.rows; ++row, cell += rows.cols)
            if (has_conifer(row))
                visit_row_within(row, cell);
        return best();
    }

private:
    std::optional<double> best() const
    {
        return found_ ? std::optional{std::sqrt(best2_)} : std::nullopt;
    }

    bool has_conifer(std::int64_t row) const
    {
        return conifer(row, reach_.col) != conifer(row, reach_.col + reach_.cols);
    }

    /// `cell`: the differences of coverage along the row.
    void visit_row_within(std::int64_t row, const std::uint64_t* cell)
    {
        std::uint64_t covered = 0;
        for (std::int64_t col = reach_.col; col < reach_.col + reach_.cols; ++col)
            if (static_cast<std::int64_t>(covered += *cell++) > touching &&
                conifer(row, col + 1) != conifer(row, col))
                try_cell(row, col);
    }

    Box cell(std::int64_t row, std::int64_t col) const
    {
        const double w = grid_.cell_width_m();
        const double h = grid_.cell_height_m();
        const auto i = static_cast<double>(col - frame_.col);
        const auto j = static_cast<double>(row - frame_.row);
        return {{i * w, -(j + 1) * h}, {(i + 1) * w, -j * h}};
    }

    /// Whether a row outside the bounding box can still hold something nearer.
    bool within(std::int64_t row) const
    {
        const Box c = cell(row, frame_.col);
        const double gap = std::max({c.min.y - box_.max.y, 0.0, box_.min.y - c.max.y});
        return gap * gap < best2_;
    }

    std::int32_t conifer(std::int64_t row, std::int64_t col) const
    {
        return fuel_.sum(row, col).conifer;
    }

    /// First column c in [from, to] whose row sum up to c passes `test`; to + 1 if none does.
    template <typename Test>
    std::int64_t first(std::int64_t row, std::int64_t from, std::int64_t to, Test test) const
    {
        while (from <= to) {
            const std::int64_t middle = from + (to - from) / 2;
            if (test(conifer(row, middle)))
                to = middle - 1;
            else
                from = middle + 1;
        }
        return from;
    }

    void visit_row(std::int64_t row)
    {
        const std::int64_t left = reach_.col;
        const std::int64_t right = reach_.col + reach_.cols;
        if (!has_conifer(row))
            return;
        const std::int64_t body_end = body_.col + body_.cols;
        const std::int32_t at_body = conifer(row, body_.col);
        const std::int32_t at_end = conifer(row, body_end);
        if (at_body != at_end)
            for (std::int64_t col = body_.col; col < body_end && best2_ > 0; ++col)
                if (conifer(row, col + 1) != conifer(row, col))
                    try_cell(row, col);
        if (conifer(row, left) != at_body)
            try_cell(row, first(row, left, body_.col, [=](std::int32_t sum) {
                              return sum == at_body;
                          }) - 1);
        if (conifer(row, right) != at_end)
            try_cell(row, first(row, body_end, right, [=](std::int32_t sum) {
                              return sum > at_end;
                          }) - 1);
    }

    void try_cell(std::int64_t row, std::int64_t col)
    {
        const Box c = cell(row, col);
        if (box_.squared_distance(c) >= best2_)
            return;
        double nearest2 = contains(footprint_, c.centre()) ? 0 : best2_;
        for (const Loop& loop : footprint_.loops)
            for (std::size_t i = 0; i < loop.size() && nearest2 > 0; ++i)
                nearest2 =
                    std::min(nearest2, squared_distance(loop[i], loop[(i + 1) % loop.size()], c));
        if (nearest2 < best2_) {
            best2_ = nearest2;
            found_ = true;
        }
    }

    const Footprint& footprint_;
    const CellFrame& frame_;
    const Grid& grid_;
    const FuelWindow& fuel_;
    Box box_;
    CellRect reach_; ///< cells that may count
    CellRect body_;  ///< cells of the bounding box
    double best2_;
    bool found_ = false;
};

} // namespace

std::optional<double> nearest_conifer_m(const Footprint& footprint, const CellFrame& frame,
                                        const Grid& grid, const FuelWindow& fuel, double limit_m)
{
    return Search{footprint, frame, grid, fuel, bounds(footprint).grown(limit_m), limit_m}.run();
}

std::optional<double> nearest_conifer_in_m(const Footprint& footprint, const Outline& region,
                                           const CellFrame& frame, const Grid& grid,
                                           const FuelWindow& fuel)
{
    return Search{footprint, frame, grid, fuel, bounds(region), infinite}.run_within(region);
}

} // namespace fuelring::coverage
