// SPDX-License-Identifier: Apache-2.0

// Change on exact ground. Two rasters with parallel axes cut the plane into rectangles on which
// both fuels, and so every kind of change, are constant: their columns end where a column of either
// ends, their rows likewise. On that uneven grid the integral over a region is found as on an even
// one (coverage/gather.cpp): by Green's theorem along the boundary, with running sums of each row.

#include "change/overlay_axis.hpp"

#include <fuelring/fuel_classes.hpp>

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace fuelring {

namespace {

/// Lines of the other grid this close to a line of ours are the same line: coordinates of a
/// projected grid are rounded to about a billionth of a metre.
constexpr double same_line_cells = 1e-6;

/// The areas of ChangeArea in their order: conifer, conifer, conifer, ground four times, conifer,
/// conifer.
constexpr std::array area_members{
    &ChangeArea::removed_m2,           &ChangeArea::regrown_m2,
    &ChangeArea::unchanged_m2,         &ChangeArea::compared_m2,
    &ChangeArea::before_only_m2,       &ChangeArea::after_only_m2,
    &ChangeArea::neither_m2,           &ChangeArea::before_only_conifer_m2,
    &ChangeArea::after_only_conifer_m2};

/// `first` .. `first + count`: our cells. `to` and `back` translate.
template <typename To, typename Back>
OverlayAxis axis_of(std::int64_t first, std::int64_t count, To to, Back back)
{
    const auto low = static_cast<double>(first);
    const auto high = static_cast<double>(first + count);
    OverlayAxis axis;
    for (std::int64_t k = first; k <= first + count; ++k)
        axis.lines.push_back(static_cast<double>(k));
    const auto from = static_cast<std::int64_t>(std::floor(std::min(to(low), to(high))));
    const auto until = static_cast<std::int64_t>(std::ceil(std::max(to(low), to(high))));
    for (std::int64_t k = from; k <= until; ++k) {
        const double line = back(static_cast<double>(k));
        if (std::abs(line - std::round(line)) > same_line_cells && line > low && line < high)
            axis.lines.push_back(line);
    }
    std::sort(axis.lines.begin(), axis.lines.end());
    for (std::size_t k = 0; k + 1 < axis.lines.size(); ++k) {
        const double middle = (axis.lines[k] + axis.lines[k + 1]) / 2;
        axis.after.push_back(static_cast<std::int64_t>(std::floor(middle)));
        axis.before.push_back(static_cast<std::int64_t>(std::floor(to(middle))));
    }
    return axis;
}

/// Lines of the parts of cells, from cell `first` on.
FreeLines divided_lines(std::int64_t first, std::int64_t cells)
{
    constexpr std::int64_t divisions = CellParts::divisions;
    std::vector<double> lines;
    for (std::int64_t k = first * divisions; k <= (first + cells) * divisions; ++k)
        lines.push_back(static_cast<double>(k) / divisions);
    return FreeLines{std::move(lines)};
}

/// Adds a stretch of a cell to the sum of its class; cells of other kinds have none.
void add_class(std::array<double, 4>& sum, std::uint16_t kind, double width)
{
    if (kind >= 1 && kind <= sum.size())
        sum[kind - 1U] += width;
}

/// The lines as seen from a frame.
FreeLines seen_from(std::int64_t origin, const OverlayAxis& axis)
{
    std::vector<double> lines;
    for (const double line : axis.lines)
        lines.push_back(line - static_cast<double>(origin));
    return FreeLines{std::move(lines)};
}

} // namespace

OverlayAxis columns_of(const CellRect& rect, const GridRelation& relation)
{
    return axis_of(
        rect.col, rect.cols, [&](double a) { return relation.col(a); },
        [&](double b) { return relation.col_back(b); });
}

OverlayAxis rows_of(const CellRect& rect, const GridRelation& relation)
{
    return axis_of(
        rect.row, rect.rows, [&](double a) { return relation.row(a); },
        [&](double b) { return relation.row_back(b); });
}

ChangeArea& ChangeArea::operator+=(const ChangeArea& o)
{
    for (const auto area : area_members)
        this->*area += o.*area;
    for (std::size_t c = 0; c < class_m2.size(); ++c)
        class_m2[c] += o.class_m2[c];
    return *this;
}

ChangeArea operator-(const ChangeArea& outer, const ChangeArea& inner)
{
    ChangeArea ring;
    for (const auto area : area_members)
        ring.*area = std::max(outer.*area - inner.*area, 0.0);
    for (std::size_t c = 0; c < ring.class_m2.size(); ++c)
        ring.class_m2[c] = std::max(outer.class_m2[c] - inner.class_m2[c], 0.0);
    return ring;
}

int FreeLines::first_cell(double a, double b) const
{
    const auto next = b < a ? std::lower_bound(at_.begin(), at_.end(), a)
                            : std::upper_bound(at_.begin(), at_.end(), a);
    return static_cast<int>(next - at_.begin()) - 1;
}

FuelOverlay::Sums FuelOverlay::sums_of(std::uint16_t was, std::uint16_t is)
{
    const bool was_mapped = was != FuelPatch::unknown_share;
    const bool is_mapped = is != FuelPatch::unknown_share;
    Sums s{};
    if (was_mapped && is_mapped) {
        s[0] = was > is ? was - is : 0;
        s[1] = is > was ? is - was : 0;
        s[2] = std::min(was, is);
        s[3] = 1;
    } else if (was_mapped) {
        s[4] = 1;
        s[7] = was;
    } else if (is_mapped) {
        s[5] = 1;
        s[8] = is;
    } else {
        s[6] = 1;
    }
    return s;
}

FuelOverlay::FuelOverlay(const FuelPatch& before, const FuelPatch& after,
                         const GridRelation& relation, const CellFrame& frame,
                         const CellChanges* classes)
    : FuelOverlay(before, after, columns_of(after.rect, relation), rows_of(after.rect, relation),
                  frame, classes)
{}

FuelOverlay::FuelOverlay(const FuelPatch& before, const FuelPatch& after, const OverlayAxis& x,
                         const OverlayAxis& y, const CellFrame& frame, const CellChanges* classes)
    : lines_{seen_from(frame.col, x), seen_from(frame.row, y)}
{
    sums_.reserve(y.after.size() * x.lines.size());
    for (std::size_t row = 0; row < y.after.size(); ++row) {
        Sums sum{};
        sums_.push_back(sum);
        for (std::size_t col = 0; col < x.after.size(); ++col) {
            const Sums cell = sums_of(before.share[before.index(x.before[col], y.before[row])],
                                      after.share[after.index(x.after[col], y.after[row])]);
            for (std::size_t k = 0; k < kinds; ++k)
                sum[k] += cell[k] * x.width(col);
            sums_.push_back(sum);
        }
    }
    for (std::size_t row = 0; classes && row < y.after.size(); ++row) {
        std::array<double, 4> sum{};
        class_sums_.push_back(sum);
        for (std::size_t col = 0; col < x.after.size(); ++col) {
            add_class(sum, classes->kind[after.index(x.after[col], y.after[row])], x.width(col));
            class_sums_.push_back(sum);
        }
    }
}

FuelOverlay::FuelOverlay(const FuelPatch& before, const FuelPatch& after, const CellParts& parts,
                         const CellFrame& frame, const CellChanges* classes)
    : lines_{divided_lines(after.rect.col - frame.col, after.rect.cols),
             divided_lines(after.rect.row - frame.row, after.rect.rows)}
{
    constexpr auto divisions = static_cast<std::size_t>(CellParts::divisions);
    const auto cols = static_cast<std::size_t>(after.rect.cols);
    sums_.reserve((parts.cols() + 1) * parts.rows());
    for (std::size_t row = 0; row < parts.rows(); ++row) {
        Sums sum{};
        sums_.push_back(sum);
        for (std::size_t col = 0; col < parts.cols(); ++col) {
            const std::uint16_t is = after.share[row / divisions * cols + col / divisions];
            parts.for_each(row, col, [&](std::size_t cell, double frac) {
                const Sums of_cell = sums_of(before.share[cell], is);
                for (std::size_t k = 0; k < kinds; ++k)
                    sum[k] += of_cell[k] * frac / divisions;
            });
            sums_.push_back(sum);
        }
    }
    for (std::size_t row = 0; classes && row < parts.rows(); ++row) {
        std::array<double, 4> sum{};
        class_sums_.push_back(sum);
        for (std::size_t col = 0; col < parts.cols(); ++col) {
            add_class(sum, classes->kind[row / divisions * cols + col / divisions],
                      1.0 / divisions);
            class_sums_.push_back(sum);
        }
    }
}

ChangeArea FuelOverlay::integrate(const Outline& outline, const Grid& grid) const
{
    const int cols = lines_.x.cells();
    const int rows = lines_.y.cells();
    Sums total{};
    std::array<double, 4> by_class{};
    const auto visit = [&](const coverage::Stretch& s) {
        if (s.row < 0 || s.row >= rows || s.col < 0 || s.col >= cols)
            throw std::logic_error{"FuelOverlay: an outline leaves the patch"};
        const std::size_t place =
            static_cast<std::size_t>(s.row) * static_cast<std::size_t>(cols + 1) +
            static_cast<std::size_t>(s.col);
        const Sums* at = &sums_[place];
        const double dy = s.y1 - s.y0;
        // Columns have widths of their own, sums end at lines: within one they grow evenly.
        const double x_dy = s.x_dy / (lines_.x.at(s.col + 1) - lines_.x.at(s.col));
        for (std::size_t k = 0; k < kinds; ++k)
            total[k] += at[0][k] * dy + (at[1][k] - at[0][k]) * x_dy;
        if (class_sums_.empty())
            return;
        const std::array<double, 4>* of = &class_sums_[place];
        for (std::size_t c = 0; c < by_class.size(); ++c)
            by_class[c] += of[0][c] * dy + (of[1][c] - of[0][c]) * x_dy;
    };
    for (const Piece& piece : outline.pieces)
        coverage::walk(lines_, coverage::in_cells(piece, grid), visit);
    // Rows count downwards, which turns the boundary round.
    const double ground = -grid.cell_area_m2();
    const double conifer = ground / whole_share;
    ChangeArea area;
    for (std::size_t k = 0; k < kinds; ++k)
        area.*area_members[k] = total[k] * (k < 3 || k > 6 ? conifer : ground);
    for (std::size_t c = 0; c < by_class.size(); ++c)
        area.class_m2[c] = by_class[c] * ground;
    return area;
}

} // namespace fuelring
