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
/// Negative for a region whose boundary runs clockwise, as of a hole.
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
/// Read by one thread or many: nothing changes it after it was made.
class Gatherer {
public:
    /// `grid`: that of the structure (Grid::at_scale). Grid and window must outlive this.
    /// Throws: std::invalid_argument when `reach` (local metres) and a margin of one cell leave
    /// `fuel`, or the frame's cell lies outside it.
    Gatherer(const CellFrame& frame, const Grid& grid, const FuelWindow& fuel, const Box& reach);

    /// True where all cells within reach are mapped and none holds conifer: then every integral of
    /// conifer is 0, and mapped is the area.
    /// Costs two row sums for each row.
    bool sees_bare_ground_only() const;

    /// Law: linear in the fuel; additive over regions; integral of mapped + unmapped = area.
    /// Requires: a closed outline within the reach; neither is checked here.
    /// Cost: one step for each cell that the boundary passes, none for those inside.
    /// Source: Green's theorem, as derived in gather.cpp. Exact but for rounding.
    Integral integrate(const Outline& outline) const;
    /// The same of the outline moved by a vector, in local metres; its reach must hold that, too.
    Integral integrate(const Outline& outline, Point moved_by) const;
    /// What one piece adds, and what it adds to `conifer`. Of an open piece it is no area: add up
    /// the pieces of a closed boundary.
    /// Law: over any division of a piece both add up, to rounding.
    Integral integrate(const Piece& piece) const;
    double conifer(const Piece& piece) const;

private:
    /// Adds with the sign of cell coordinates, in ten-thousandths.
    /// Rows grow downwards in cells, so the sign is that of a boundary run the other way round.
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
/// Unit: metres of the frame. A cell at limit_m itself counts. Empty: no conifer within limit_m.
/// `grid`: that of the structure.
std::optional<double> nearest_conifer_m(const Footprint& footprint, const CellFrame& frame,
                                        const Grid& grid, const FuelWindow& fuel, double limit_m);

/// The same among the cells that a region covers some part of: on slopes, where the widest ring
/// reaches further than any round one within it. Slower: for where a round search found nothing.
/// Throws: std::invalid_argument when the window does not hold the region.
/// A cell counts where the region covers more of it than rounding leaves (2e-11 of the cell).
/// Empty: the region covers no conifer.
std::optional<double> nearest_conifer_in_m(const Footprint& footprint, const Outline& region,
                                           const CellFrame& frame, const Grid& grid,
                                           const FuelWindow& fuel);

} // namespace fuelring::coverage
