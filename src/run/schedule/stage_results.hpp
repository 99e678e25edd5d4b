// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "exposure/draws.hpp"
#include "exposure/neighbourhoods.hpp"
#include "exposure/ranking.hpp"

#include <cstdint>
#include <vector>

namespace fuelring {

/// Seconds spent by all workers together, by what they did.
struct WorkTimes {
    double read_s = 0;     ///< windows of the raster: read, decompressed, looked up
    double prefix_s = 0;   ///< running row sums
    double outlines_s = 0; ///< ring boundaries
    double walk_s = 0;     ///< integrals and nearest distances
    double transpose_s = 0;
    double union_s = 0;      ///< what structures add to each other, all of it
    double union_read_s = 0; ///< of it, windows of the raster and their sums
    double draws_s = 0;      ///< registration draws, all of it
    double draws_read_s = 0; ///< of it, windows of the raster and their sums
    double write_s = 0;      ///< blocks handed to the output files, compression included

    WorkTimes& operator+=(const WorkTimes& other);
};

/// Sums over the surface as it was computed, before rounding to Float32.
struct SurfaceTotals {
    double points = 0;                        ///< sum over mapped cells: equals the summed exposure
    std::int64_t cells = 0;                   ///< cells some ring reaches
    std::int64_t unmapped = 0;                ///< of them, without a known class
    std::vector<std::int64_t> cells_of_class; ///< reached cells by class index
};
/// In their order, for the same bits; `classes` is how many the class table has.
SurfaceTotals sum_of(const std::vector<SurfaceTotals>& blocks, std::size_t classes);

/// How what structures add to each other was found: numbers of regions, one for each structure,
/// distance and union.
struct UnionCounts {
    std::int64_t exact = 0;
    std::int64_t nudged = 0;
    std::int64_t capsules = 0;
    std::int64_t owners_nudged = 0; ///< splits by owner, as OwnerSplit says
    std::int64_t owners_open = 0;

    UnionCounts& operator+=(const UnionCounts& other);
};

/// What the draws give by structure, before anything is compared.
struct DrawnFigures {
    ExposureDraws exposures{0, 0};
    std::vector<StructureDraws> structures;
};

} // namespace fuelring
