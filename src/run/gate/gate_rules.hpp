// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "exposure/ownership.hpp"
#include "io/gdal/crs.hpp"
#include "run/config/config.hpp"
#include "run/config/gate_kinds.hpp"

#include <array>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// Where a fuel raster lay, as its file had it.
struct SeenGrid {
    Crs crs;
    std::array<double, 6> geotransform{}; ///< as GDAL has it
    std::int64_t cols = 0;
    std::int64_t rows = 0;
};

/// Another CRS, cell size, direction or place; one reason, since each makes the rest meaningless.
/// Corners that agree within a hundredth of a cell are the same; those of a raster that grew or
/// shrank may be whole cells apart.
GateReasons compare_grids(const SeenGrid& before, const SeenGrid& now);
/// Rasters that compare_grids passes, of different size: a reason where `differ` says so of what
/// each covers, in cells of the present one.
GateReasons compare_extents(const SeenGrid& before, const SeenGrid& now,
                            const std::function<bool(const CellRect&, const CellRect&)>& differ);

/// A structure of the last run, and where it stands now.
struct SeenStructure {
    std::string id;
    double lon_deg = 0;
    double lat_deg = 0;
    struct Place {
        double lon_deg = 0;
        double lat_deg = 0;
    };
    std::optional<Place> now{}; ///< empty: the id is gone
};

/// How structures moved between two runs.
struct StructuresMove {
    double vanished_percent = 0; ///< of the sample's ids
    double east_m = 0;           ///< median over the ids that are still there
    double north_m = 0;
    double moved_alike_percent = 0; ///< of these, moved like the median to within 0.05 m
    double elsewhere_percent = 0;   ///< of these, 20 m or more from where they were
};
StructuresMove move_of(const std::vector<SeenStructure>& sample);

/// Their number changed by more than the bound (and by three at least); most ids vanished; most
/// moved by the same vector of 0.2 m or more, or stand on other ground, where ids say which is
/// which.
GateReasons compare_structures(std::int64_t before, std::int64_t now, const StructuresMove& move,
                               const GateSettings& settings);

/// Ground within one distance of the walls, summed over structures.
struct SeenGround {
    double within_m = 0;
    double ground_m2 = 0;
    double mapped_m2 = 0;
    double conifer_m2 = 0; ///< after corrections, as in the tables

    double mapped_percent() const { return ground_m2 > 0 ? 100 * mapped_m2 / ground_m2 : 0; }
    double conifer_percent() const { return mapped_m2 > 0 ? 100 * conifer_m2 / mapped_m2 : 0; }
};

/// [k]: within plan.outer_m[k]. Ground near several structures counts for each of them.
std::vector<SeenGround> ground_of(const std::vector<MeasuredStructure>& measures,
                                  const RingPlan& plan);

/// The same distance in two runs: shares that moved, the first of the rules of a share that holds.
/// That conifers are nearly gone is asked of the widest distance alone, since a programme may clear
/// the nearer ones where they are few.
GateReasons compare_ground(const SeenGround& before, const SeenGround& now, bool is_widest,
                           const GateSettings& settings);

/// Nothing within `ground` is mapped: a reason also where there is no earlier run.
GateReasons require_mapped(const SeenGround& ground);

/// Cells that rings reach, of one code.
struct SeenCode {
    std::int64_t code = 0;
    std::string label;
    std::int64_t cells = 0;
};

/// Per cent of `cells_reached` with codes that the last run did not meet.
double new_codes_percent(const std::vector<std::int64_t>& before, const std::vector<SeenCode>& now,
                         std::int64_t cells_reached);

/// Codes that the last run did not meet stand on more than gate.max_change per cent of the cells.
GateReasons compare_codes(const std::vector<std::int64_t>& before, const std::vector<SeenCode>& now,
                          std::int64_t cells_reached, const GateSettings& settings);

} // namespace fuelring
