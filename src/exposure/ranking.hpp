// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "exposure/community.hpp"
#include "exposure/susceptibility.hpp"

#include <fuelring/measure.hpp>

#include <cmath>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// Words of the `flags` column, in the order in which they are written.
enum class Flag : std::uint8_t {
    unmapped,            ///< no ring with a weight is mapped: no exposure
    partly_unmapped,     ///< some of the rings is unmapped
    no_conifer_in_reach, ///< no conifer cell within the widest ring
    coarse_cells,        ///< cells are wider than the innermost ring
    repaired_outline,    ///< the outline crossed itself and was repaired
    duplicate_outline,   ///< another structure has the same outline
    canopy_on_roof,      ///< conifer over the footprint
    no_slope,            ///< too few heights around the structure for a slope
    neighbours_conifer,  ///< own parcel clear near the wall, conifer there on others' ground
    field_checked,       ///< a visit corrected some cell within the widest ring's distance
    outside_draws,       ///< exposure outside the range of its own draws (draws.hpp)
};
inline constexpr int flag_count = 11;
/// Its word in the column.
std::string_view name_of(Flag flag);

/// A structure's measure with what follows from it.
struct StructureResult {
    const MeasuredStructure* measure = nullptr; ///< owned by whoever had it measured
    std::optional<double> exposure;
    std::optional<double> exposure_x_susceptibility; ///< where multipliers are configured
    std::optional<std::int64_t> rank;
    std::optional<std::int64_t> rank_in_neighbourhood;
    std::uint32_t flags = 0; ///< bit k is Flag(k)

    bool has(Flag flag) const { return (flags >> static_cast<unsigned>(flag)) & 1U; }
    /// It has an exposure: some ring with a weight is mapped. Means, sums and ranks are over these.
    bool is_measured() const { return exposure.has_value(); }
};

/// What the map says of conifers within a distance of a structure's wall. Counts of structures with
/// conifers are of those where that is known.
enum class ConifersNear : std::uint8_t {
    unknown, ///< the structure is not measured, or too little of that ground is mapped
    none,    ///< at least `least_known_share` of that ground is mapped, and none stands there
    some,    ///< nearest_conifer_m is at most the distance, whatever else is mapped
};
/// Share of the land within a distance that must be mapped before it is said to be clear, and of
/// a neighbourhood's structures that must be measured before it is ranked: a planning default.
inline constexpr double least_known_share = 0.5;
/// Of a structure with its exposure set, within plan.outer_m[ring].
ConifersNear conifers_near(const StructureResult& result, const RingPlan& plan, std::size_t ring);

/// "a;b;c" of the flags that are set.
std::string flags_text(const StructureResult& result);

/// Exposure as ranks compare it: rounded to 4 decimals, as printed.
inline double rank_key(double exposure)
{
    return std::round(exposure * 1e4);
}

/// Sets exposure, flags and ranks from the measures. Ranks are standard competition ranks
/// (1, 2, 2, 4) of the figure that `by` names, rounded to 4 decimals, counting structures; none
/// without exposure.
void rank_structures(const Community& community, const Grid& grid, const RingPlan& plan, RankBy by,
                     std::vector<StructureResult>& results);

/// The figure that ranks compare.
const std::optional<double>& ranked_figure(const StructureResult& result, RankBy by);

/// Less conifer than this on a piece of ground is none: parcel lines are not known better.
inline constexpr double clear_m2 = 0.1;

/// Sets Flag::neighbours_conifer where the structure's own parcel holds less than `clear_m2` of
/// conifer from the roof to the end of ring `near_ring`, and the ground of others more.
void flag_neighbours(const Ownership& owners, std::size_t near_ring,
                     std::vector<StructureResult>& results);

/// One row of the address table.
struct AddressRow {
    std::size_t structure = 0;
    std::optional<std::size_t> address; ///< empty: the structure has none
};

/// Rows by rank, then structure id (bytewise), then address; structures without exposure last.
/// Law: every structure has a row or more; addresses that join none have no row.
std::vector<AddressRow> address_rows(const Community& community,
                                     const std::vector<StructureResult>& results);

} // namespace fuelring
