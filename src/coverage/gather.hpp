// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/fuel_window.hpp>
#include <fuelring/grid.hpp>
#include <fuelring/outline.hpp>

#include <optional>
#include <vector>

namespace fuelring::coverage {

/// Integrals over one region, in cells (times the cell's area: square metres).
/// The share sums are in whole cells of conifer, not ten-thousandths.
struct Integral {
    double conifer = 0;
    double other_burnable = 0;
    double mapped = 0;
    double unmapped = 0;

    Integral& operator+=(const Integral& other)
    {
        conifer += other.conifer;
        other_burnable += other.other_burnable;
        mapped += other.mapped;
        unmapped += other.unmapped;
        return *this;
    }
};

/// Integrates the fuel around one structure. Row sums are taken relative to the column of the
/// structure's own frame, so the result does not depend on where the window begins.
class Gatherer {
public:
    /// Throws: std::invalid_argument when `reach` (local metres) and a margin of one cell leave
    /// `fuel`, or the frame's cell lies outside it.
    Gatherer(const CellFrame& frame, const Grid& grid, const FuelWindow& fuel, const Box& reach);

    /// True where all cells within reach are mapped and none holds conifer: then every integral of
    /// conifer is 0, and mapped is the area.
    bool sees_bare_ground_only() const;

    /// Law: linear in the fuel; additive over regions; integral of mapped + unmapped = area.
    Integral integrate(const Outline& outline) const;
    /// The same of the outline moved by a vector, in local metres; its reach must hold that, too.
    Integral integrate(const Outline& outline, Point moved_by) const;
    /// What one piece adds, and what it adds to `conifer`. Of an open piece it is no area: add up
    /// the pieces of a closed boundary.
    Integral integrate(const Piece& piece) const;
    double conifer(const Piece& piece) const;

private:
    /// Adds with the sign of cell coordinates, in ten-thousandths.
    void add(const Piece& piece, Integral& sum) const;

    CellFrame frame_;
    const Grid* grid_;
    const FuelWindow* fuel_;
    CellRect reach_;            ///< with the margin
    int first_row_;             ///< relative to the frame
    std::vector<FuelSum> base_; ///< row sums at the frame's column
};

/// Distance from the footprint to the nearest cell with a conifer share above 0, at most limit_m;
/// 0 where one touches or overhangs it. Exact: cells are rectangles, not points.
/// Throws: std::invalid_argument when the window does not hold the footprint grown by limit_m.
std::optional<double> nearest_conifer_m(const Footprint& footprint, const CellFrame& frame,
                                        const Grid& grid, const FuelWindow& fuel, double limit_m);

/// The same among the cells that a region covers some part of: on slopes, where the widest ring
/// reaches further than any round one within it. Slower: for where a round search found nothing.
/// Throws: std::invalid_argument when the window does not hold the region.
std::optional<double> nearest_conifer_in_m(const Footprint& footprint, const Outline& region,
                                           const CellFrame& frame, const Grid& grid,
                                           const FuelWindow& fuel);

} // namespace fuelring::coverage
