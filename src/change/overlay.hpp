// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "change/cell_parts.hpp"
#include "change/fuel_patch.hpp"
#include "coverage/walk.hpp"

#include <fuelring/outline.hpp>

#include <array>
#include <cstdint>
#include <vector>

namespace fuelring {

/// What happened to the fuel of a region between two dates, in square metres of the ground.
/// Conifer areas are weighted by conifer share: a cell of share 0.4 counts four tenths of itself.
/// Law: removed + regrown + unchanged + (ground without conifer at both dates) = compared;
/// compared + before_only + after_only + neither = the region.
struct ChangeArea {
    double removed_m2 = 0;   ///< share lost, where both dates are mapped
    double regrown_m2 = 0;   ///< share gained there
    double unchanged_m2 = 0; ///< share that stands at both dates
    double compared_m2 = 0;  ///< ground that is mapped at both dates
    double before_only_m2 = 0;
    double after_only_m2 = 0;
    double neither_m2 = 0;
    double before_only_conifer_m2 = 0; ///< conifer on ground that is mapped before only
    double after_only_conifer_m2 = 0;
    /// Ground of whole cells of AFTER by what change.tif says of them (removed, regrown, unchanged,
    /// no_conifer); 0 where nobody asked. Law: at most compared_m2 together, less only where cells
    /// are compared in part.
    std::array<double, 4> class_m2{};

    double ground_m2() const { return compared_m2 + before_only_m2 + after_only_m2 + neither_m2; }
    double no_conifer_m2() const { return compared_m2 - removed_m2 - regrown_m2 - unchanged_m2; }
    double conifer_before_m2() const { return removed_m2 + unchanged_m2; }
    double conifer_after_m2() const { return regrown_m2 + unchanged_m2; }
    double net_m2() const { return regrown_m2 - removed_m2; }

    ChangeArea& operator+=(const ChangeArea& other);
    /// Of nested regions: rounding leaves no negative area.
    friend ChangeArea operator-(const ChangeArea& outer, const ChangeArea& inner);
    ChangeArea& operator-=(const ChangeArea& inner) { return *this = *this - inner; }
};

/// Grid lines anywhere, rising.
class FreeLines {
public:
    explicit FreeLines(std::vector<double> at) : at_(std::move(at)) {}
    double at(int k) const { return at_[static_cast<std::size_t>(k)]; }
    int cells() const { return static_cast<int>(at_.size()) - 1; }
    /// As UnitLines: the cell that a run from `a` towards `b` enters; -1 or cells() outside.
    int first_cell(double a, double b) const;

private:
    std::vector<double> at_;
};

struct OverlayAxis;
struct CellChanges;

/// The change between two patches of fuel around one structure: both grids laid over each other,
/// every common rectangle of them with what both runs say there. Nothing is resampled.
class FuelOverlay {
public:
    /// `before` and `after` lie on their own grids, `after` on that of the frame; `relation` says
    /// where the cells of `before` lie. `before` must hold cells_under(after.rect, relation).
    /// `classes`: what change.tif says of the cells of `after`, for ChangeArea::class_m2.
    FuelOverlay(const FuelPatch& before, const FuelPatch& after, const GridRelation& relation,
                const CellFrame& frame, const CellChanges* classes = nullptr);

    /// `before` lies on a grid that is turned against that of `after`, or in another system: each
    /// part of a cell of `after` is compared with the cells of `before` in it, by how much of it
    /// each covers. Exact over whole parts; inside a part its mix counts as even.
    FuelOverlay(const FuelPatch& before, const FuelPatch& after, const CellParts& parts,
                const CellFrame& frame, const CellChanges* classes = nullptr);

    /// Integrates over a region of the frame; `grid`: that of `after` at the structure's map scale.
    /// Throws: std::logic_error when the region leaves the patch.
    /// Law: exact to rounding; linear; additive over regions.
    ChangeArea integrate(const Outline& outline, const Grid& grid) const;

private:
    FuelOverlay(const FuelPatch& before, const FuelPatch& after, const OverlayAxis& x,
                const OverlayAxis& y, const CellFrame& frame, const CellChanges* classes);

    /// Per unit of area, in the order of ChangeArea; shares in ten-thousandths.
    static constexpr std::size_t kinds = 9;
    using Sums = std::array<double, kinds>;
    static Sums sums_of(std::uint16_t was, std::uint16_t is);

    coverage::GridLines<FreeLines> lines_; ///< in cells of `after`, from the frame's corner
    std::vector<Sums> sums_;               ///< of each row, from its first column
    std::vector<std::array<double, 4>> class_sums_; ///< likewise; empty where nobody asked
};

/// What change.tif says of a cell.
enum class CellChange : std::uint16_t {
    removed = 1,      ///< more conifer share went than came
    regrown = 2,      ///< more came than went
    unchanged = 3,    ///< conifer, as much of it as before
    no_conifer = 4,   ///< at both dates
    unmapped = 5,     ///< some part of it, at one date or both
    one_run_only = 6, ///< some part of it was beyond the reach of one run
};

/// Change of the cells of `after`, row by row; nodata (65535) where neither run reached.
struct CellChanges {
    static constexpr std::uint16_t no_data = 65535;
    /// `net` of a cell that did not change; 0: all of it removed; 20000: all of it grown.
    static constexpr std::uint16_t net_zero = 10000;

    std::vector<std::uint16_t> kind; ///< CellChange
    std::vector<std::uint16_t> net;  ///< mean change of share in ten-thousandths, plus net_zero
};
/// `before` must hold cells_under(after.rect, relation).
CellChanges cell_changes(const FuelPatch& before, const FuelPatch& after,
                         const GridRelation& relation);
/// The same on foreign grids.
CellChanges cell_changes(const FuelPatch& before, const FuelPatch& after, const CellParts& parts);

} // namespace fuelring
