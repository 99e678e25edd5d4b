// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/export.hpp>
#include <fuelring/fuel_window.hpp>
#include <fuelring/grid.hpp>
#include <fuelring/outline.hpp>
#include <fuelring/stretch.hpp>

#include <cstdint>
#include <optional>
#include <utility>
#include <vector>

namespace fuelring {

/// Areas inside one region, in square metres of the analysis CRS.
struct FUELRING_EXPORT RingArea {
    double ring_m2 = 0;           ///< the whole region
    double mapped_m2 = 0;         ///< ground whose class is known; integrated, not subtracted
    double conifer_m2 = 0;        ///< weighted by conifer_share; never above mapped_m2. Within a
                                  ///< distance, what is below 1e-9 is rounding and 0
    double other_burnable_m2 = 0; ///< vegetation times (1 - conifer_share); not scored
    double unmapped_m2 = 0;       ///< nodata, unmapped classes, off the raster

    /// conifer_m2 / mapped_m2, or empty where less than a thousandth is mapped (nodata is not 0).
    std::optional<double> conifer_frac() const;
    std::optional<double> other_burnable_frac() const;
    double unmapped_frac() const;  ///< 0 to 1
    bool counts_as_mapped() const; ///< at least a thousandth of it is mapped
};

FUELRING_EXPORT RingArea operator+(const RingArea& a, const RingArea& b);

/// The rings of a run: outer distances from the wall, rising, and their weights.
struct FUELRING_EXPORT RingPlan {
    std::vector<double> outer_m{1.5, 10, 30, 100};
    std::vector<double> weight{0.35, 0.35, 0.20, 0.10}; ///< planning default; any scale

    /// Throws: Error{usage} unless there are distances, at most farthest_local_m, above 0 and
    /// strictly rising, and as many weights, finite, not negative, not all 0, whose sum is finite.
    void require_valid() const;
    /// The same of the distances alone.
    void require_distances() const;
    /// Throws: std::out_of_range where there are no distances.
    double widest_m() const { return outer_m.at(outer_m.size() - 1); }
};

/// Nested outlines of one structure: [0] its own boundary, [k] everything within outer_m[k - 1].
/// As `ring_outlines` makes them.
struct RingOutlines {
    std::vector<Outline> within;
    RingStretch widest; ///< how the widest is stretched
    OutlineMethod worst_method = OutlineMethod::exact;
};
/// The innermost ring stays round on any slope, those beyond it are stretched.
/// Law: each outline holds the one before it.
/// Throws: std::invalid_argument for a footprint that breaks its law (require_valid) or a stretch
/// as outline_within refuses it; Error{usage} for distances that RingPlan refuses;
/// std::runtime_error as outline_within. Weights are not looked at.
FUELRING_EXPORT RingOutlines ring_outlines(const Footprint& footprint, const RingPlan& plan,
                                           const RingStretch& stretch = {});

/// What was measured around one structure.
struct StructureMeasure {
    RingArea roof;               ///< over the footprint itself; conifer_m2 is canopy on the roof
    std::vector<RingArea> rings; ///< [k] ends at outer_m[k]; the footprint is outside all of them
    /// From the footprint to the nearest cell of share above 0 that the widest ring reaches: 0
    /// where one touches or overhangs, empty where it reaches none. By ruler, so on a slope it may
    /// be more than the ring's nominal distance.
    std::optional<double> nearest_conifer_m;
    OutlineMethod method = OutlineMethod::exact;
};

/// Exact areas of every ring of one structure, and the distance to the nearest conifer.
/// Law: ring_m2 sums to area(widest outline) - area(footprint) within 1e-12; mapped_m2 +
/// unmapped_m2 = ring_m2 within 1e-12. Does not depend on how far `fuel` reaches.
/// Throws: std::invalid_argument when an outline leaves the window (its halo is too small; see
/// cells_needed), the window does not contain the frame's cell, outlines are not those of the
/// footprint or not as many as the plan has distances and one, or are no closed boundaries
/// (require_valid of outline.hpp); Error{usage} for a plan that is not valid. Source: Green's
/// theorem on running row integrals (src/coverage/README.md).
FUELRING_EXPORT StructureMeasure measure(const Footprint& footprint, const RingOutlines& outlines,
                                         const CellFrame& frame, const Grid& grid,
                                         const FuelWindow& fuel, const RingPlan& plan);

/// Weighted conifer per cent, 0 to 100: 100 x sum of w_r x conifer_frac_r / sum of w_r, both over
/// mapped rings; empty where no weighted ring is mapped. It counts conifers only. It is not
/// a probability of ignition, and a low figure does not mean a home is safe.
/// Throws: std::invalid_argument where the plan has not as many weights as `m` has rings, or one of
/// them is not finite or below 0, or their sum is not finite.
FUELRING_EXPORT std::optional<double> exposure(const StructureMeasure& m, const RingPlan& plan);

/// What a square metre of conifer in ring k adds to the exposure: 100 w_k / (W mapped_k), where W
/// sums the weights of mapped rings; 0 for unmapped rings. Percentage points per m2.
/// Throws: as `exposure`.
FUELRING_EXPORT std::vector<double> points_per_m2(const StructureMeasure& m, const RingPlan& plan);

/// Areas from the wall to outer_m[k]: rings 0 to k together.
/// Throws: std::out_of_range where there is no ring k.
FUELRING_EXPORT RingArea within_distance(const StructureMeasure& m, std::size_t k);

} // namespace fuelring
