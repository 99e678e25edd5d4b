// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "exposure/ranking.hpp"

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace fuelring {

/// Conifer area, in m2 of the ground, that each structure adds to the union of those before it: [0]
/// under roofs, [k] within outer_m[k - 1] of the wall, roofs included; by kind of owner
/// [k * kinds + kind] (Ownership::kinds). Summed over structures this is the conifer area of the
/// union, counted once. One block of memory for all, since there may be millions.
class AddedConifers {
public:
    /// Views into the block: good as long as it is.
    template <typename Number>
    struct Figures {
        std::span<Number> to_community;         ///< to all structures before it
        std::span<Number> to_community_by_kind; ///< empty without parcels
        std::span<Number> to_neighbourhood;     ///< to those of its own; empty where there are none
        std::span<Number> to_neighbourhood_by_kind;
    };

    AddedConifers() = default;
    /// Of nothing yet.
    AddedConifers(const Community& community, const RingPlan& plan);

    Figures<double> of(std::size_t i) { return figures(all_of(i)); }
    Figures<const double> of(std::size_t i) const { return figures(all_of(i)); }
    /// The figures of a structure one behind the other, as many as of any other.
    std::span<double> all_of(std::size_t i) { return std::span{m2_}.subspan(i * stride_, stride_); }
    std::span<const double> all_of(std::size_t i) const
    {
        return std::span{m2_}.subspan(i * stride_, stride_);
    }

private:
    template <typename Number>
    Figures<Number> figures(std::span<Number> all) const
    {
        const std::size_t half = distances_ * (1 + kinds_);
        const std::span<Number> others = all.subspan(half);
        return {all.first(distances_), all.subspan(distances_, distances_ * kinds_),
                others.first(others.empty() ? 0 : distances_),
                others.subspan(others.empty() ? 0 : distances_)};
    }

    std::size_t distances_ = 0;
    std::size_t kinds_ = 0;
    std::size_t stride_ = 0;
    std::vector<double> m2_;
};

/// Rows of the neighbourhood table that are no neighbourhoods.
inline constexpr const char* outside_row = "(outside)";
inline constexpr const char* community_row = "(community)";

/// One row of the neighbourhood table. Exposures are over the structures that have one.
struct NeighbourhoodRow {
    std::string name;
    std::optional<std::size_t> neighbourhood; ///< index into Community::neighbourhoods
    std::optional<std::int64_t> rank;
    /// Law: structures >= structures_measured >= structures_known_near >= structures_near.
    std::int64_t structures = 0;
    std::int64_t structures_measured = 0;   ///< StructureResult::is_measured
    std::int64_t structures_known_near = 0; ///< conifers_near is known within the near distance
    std::int64_t structures_near = 0;       ///< and is `some`
    std::int64_t homes = 0;                 ///< of the structures
    std::int64_t homes_near = 0;            ///< of them with conifers near
    /// In the structures that say how many live there; empty where none does.
    std::optional<double> people;
    std::optional<double> people_near; ///< of them with conifers near
    std::optional<double> mean_exposure;
    std::optional<double> p90_exposure; ///< linear between order statistics
    std::optional<double> sum_exposure;
    /// Mean of exposure x susceptibility, where multipliers are configured.
    std::optional<double> mean_exposure_x_susceptibility;
    /// [k]: within outer_m[k] of any of its structures, no roof of theirs inside; hectares. Empty
    /// where too little is mapped around each of them.
    std::vector<std::optional<double>> conifer_ha_within;
    /// With parcels, the same by kind of owner: [k * kinds + kind].
    std::vector<std::optional<double>> conifer_ha_by_kind;
    /// The same summed over structures: ground within reach of several counts several times.
    std::vector<std::optional<double>> sum_conifer_ha_within;
};

/// Neighbourhoods by rank of the mean of the figure that `by` names (standard competition ranks of
/// the mean rounded to 4 decimals; equal ranks by name, bytewise), then those without, by name:
/// less than `least_known_share` of their structures are measured, so that the mean of these may
/// not be theirs; then `(outside)` where there are neighbourhoods at all; last `(community)`, all
/// structures. Counts of conifers are within plan.outer_m[near_ring].
std::vector<NeighbourhoodRow> neighbourhood_rows(const Community& community,
                                                 const std::vector<StructureResult>& results,
                                                 const AddedConifers& added, const RingPlan& plan,
                                                 std::size_t near_ring,
                                                 RankBy by = RankBy::exposure);

} // namespace fuelring
