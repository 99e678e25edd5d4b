// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "exposure/community.hpp"
#include "exposure/draws.hpp"
#include "exposure/neighbourhoods.hpp"
#include "exposure/ranking.hpp"

#include <array>
#include <cstdint>
#include <vector>

namespace fuelring {

/// What workers spend their time on. No two overlap, but for those that say "of it".
enum class WorkKind {
    read,         ///< windows of the raster: read, decompressed, looked up
    prefix,       ///< running row sums
    outlines,     ///< ring boundaries
    walk,         ///< integrals and nearest distances
    transpose,    ///< row integrals of the surface
    unite,        ///< what structures add to each other, all of it
    unite_read,   ///< of it, windows of the raster and their sums
    draws,        ///< registration draws, all of it
    draws_read,   ///< of it, windows of the raster and their sums
    write_blocks, ///< blocks handed to the output files, compression included
    write_tables, ///< the tables of the set, written and read back
};
/// Their names in run.json, in the order of WorkKind.
inline constexpr std::array work_names{"read",       "prefix",       "outlines",    "walk",
                                       "transpose",  "union",        "union_read",  "draws",
                                       "draws_read", "write_blocks", "write_tables"};

/// Seconds spent by all workers together.
struct WorkTimes {
    std::array<double, work_names.size()> seconds{};

    double& operator[](WorkKind kind) { return seconds[static_cast<std::size_t>(kind)]; }
    WorkTimes& operator+=(const WorkTimes& other)
    {
        for (std::size_t k = 0; k < seconds.size(); ++k)
            seconds[k] += other.seconds[k];
        return *this;
    }
};

/// Sums over the surface as it was computed, before rounding to Float32.
struct SurfaceTotals {
    double points = 0;                        ///< sum over mapped cells: equals the summed exposure
    std::int64_t cells = 0;                   ///< cells some ring reaches
    std::int64_t unmapped = 0;                ///< of them, without a known class
    std::vector<std::int64_t> cells_of_class; ///< reached cells by class index
};
/// The sum of blocks, added in their order for the same bits; `classes` is how many the class table
/// has.
SurfaceTotals sum_of(const std::vector<SurfaceTotals>& blocks, std::size_t classes);

/// How what structures add to each other was found: numbers of regions, one for each structure,
/// distance and union. A structure without conifers within a distance has no region there.
struct UnionCounts {
    std::int64_t exact = 0;
    std::int64_t nudged = 0;
    std::int64_t capsules = 0;
    std::int64_t owners_nudged = 0; ///< splits by owner, as OwnerSplit says
    std::int64_t owners_open = 0;

    /// In the order in which they are kept.
    static constexpr auto members()
    {
        using C = UnionCounts;
        return std::array{&C::exact, &C::nudged, &C::capsules, &C::owners_nudged, &C::owners_open};
    }
    UnionCounts& operator+=(const UnionCounts& other)
    {
        for (const auto member : members())
            this->*member += other.*member;
        return *this;
    }
};

/// What was found of one structure's slope, and what there is to say about it. Its slope is empty
/// off the raster, and where too few heights are known or all lie in one line.
struct SlopeFinding {
    Terrain terrain;
    bool off_raster = false;
    bool impossible = false; ///< heights beyond any ground were met
};

/// What the draws give by structure, before anything is compared. `exposures` has every draw of
/// every structure, since ranks compare structures within a draw; of rings only spreads are kept.
struct DrawnFigures {
    ExposureDraws exposures{0, 0};
    std::vector<StructureDraws> structures;
};

} // namespace fuelring
