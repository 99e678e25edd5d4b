// SPDX-License-Identifier: Apache-2.0

// Gather: integrals of the fuel over a region by Green's theorem (README.md in this folder).
// In cell coordinates the integral of f over a region is the sum over its boundary of
// dy times F(x), F being the integral of f along the row from a fixed column to x. Inside one cell
// F is linear, S + f (x - col), so a stretch adds S dy + f x_dy: exact for lines and arcs.

#include "coverage/gather.hpp"

#include "coverage/walk.hpp"
#include "geometry/require.hpp"

namespace fuelring::coverage {

namespace {

/// Cells around the reach that the walk may touch: a boundary on a grid line reads one beyond.
constexpr std::int64_t gather_margin_cells = 1;

/// Rows count downwards, which turns the boundary round.
Integral in_whole_cells(const Integral& sum)
{
    return {-sum.conifer / whole_share, -sum.other_burnable / whole_share, -sum.mapped,
            -sum.unmapped};
}

} // namespace

Gatherer::Gatherer(const CellFrame& frame, const Grid& grid, const FuelWindow& fuel,
                   const Box& reach)
    : frame_(frame), grid_(&grid), fuel_(&fuel)
{
    const CellRect needed = widened(grid.cells_of(frame, reach), gather_margin_cells);
    require(intersection(needed, fuel.rect()) == needed,
            "measure: an outline leaves the fuel window");
    require(fuel.has_sum(frame.row, frame.col),
            "measure: the fuel window does not contain the frame's cell");
    reach_ = needed;
    first_row_ = static_cast<int>(needed.row - frame.row);
    base_.reserve(static_cast<std::size_t>(needed.rows));
    for (std::int64_t row = needed.row; row < needed.row + needed.rows; ++row)
        base_.push_back(fuel.sum(row, frame.col));
}

void Gatherer::add(const Piece& piece, Integral& sum) const
{
    const std::int64_t stride = fuel_->rect().cols + 1;
    const FuelSum* origin = &fuel_->sum(frame_.row, frame_.col);
    const auto visit = [&](const Stretch& s) {
        const double dy = s.y1 - s.y0;
        const FuelSum* at = origin + s.row * stride + s.col;
        const FuelSum& base = base_[static_cast<std::size_t>(s.row - first_row_)];
        const auto grow = [&](double& total, std::int32_t here, std::int32_t next,
                              std::int32_t from) {
            total +=
                static_cast<double>(here - from) * dy + static_cast<double>(next - here) * s.x_dy;
        };
        grow(sum.conifer, at[0].conifer, at[1].conifer, base.conifer);
        grow(sum.other_burnable, at[0].other_burnable, at[1].other_burnable, base.other_burnable);
        grow(sum.mapped, at[0].mapped, at[1].mapped, base.mapped);
        grow(sum.unmapped, at[0].unmapped, at[1].unmapped, base.unmapped);
    };
    walk(in_cells(piece, *grid_), visit);
}

bool Gatherer::sees_bare_ground_only() const
{
    for (std::int64_t row = reach_.row; row < reach_.row + reach_.rows; ++row) {
        const FuelSum& before = fuel_->sum(row, reach_.col);
        const FuelSum& after = fuel_->sum(row, reach_.col + reach_.cols);
        if (after.conifer != before.conifer || after.unmapped != before.unmapped)
            return false;
    }
    return true;
}

Integral Gatherer::integrate(const Outline& outline) const
{
    Integral sum;
    for (const Piece& piece : outline.pieces)
        add(piece, sum);
    return in_whole_cells(sum);
}

Integral Gatherer::integrate(const Outline& outline, Point moved_by) const
{
    Integral sum;
    const auto moved = [moved_by](Point p) { return p + moved_by; };
    for (const Piece& piece : outline.pieces)
        add(piece.mapped(moved, [](Point v) { return v; }), sum);
    return in_whole_cells(sum);
}

Integral Gatherer::integrate(const Piece& piece) const
{
    Integral sum;
    add(piece, sum);
    return in_whole_cells(sum);
}

double Gatherer::conifer(const Piece& piece) const
{
    double sum = 0;
    const std::int64_t stride = fuel_->rect().cols + 1;
    const FuelSum* origin = &fuel_->sum(frame_.row, frame_.col);
    walk(in_cells(piece, *grid_), [&](const Stretch& s) {
        const FuelSum* at = origin + s.row * stride + s.col;
        const std::int32_t from = base_[static_cast<std::size_t>(s.row - first_row_)].conifer;
        sum += static_cast<double>(at[0].conifer - from) * (s.y1 - s.y0) +
               static_cast<double>(at[1].conifer - at[0].conifer) * s.x_dy;
    });
    return -sum / whole_share;
}

} // namespace fuelring::coverage
