// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "change/account.hpp"
#include "exposure/ownership.hpp"

#include <cstddef>
#include <optional>
#include <vector>

namespace fuelring {

/// Groups of treated polygons that share no ground, as a map of places.
struct TreatedLayer {
    Ownership places;               ///< a class for every group of the layer; in units of the grid
    std::vector<std::size_t> group; ///< by class: its number
    Box box;                        ///< around all of them, units of the grid
};

/// Everything that is accounted for by itself: every record, every treatment, all together. Groups
/// overlap, layers do not, so that ground counts once in each group that holds it.
struct TreatedGround {
    std::size_t groups = 0;
    std::vector<TreatedLayer> layers;
};

/// What is needed to cut a region of one structure.
struct TreatedSplit {
    const TreatedGround& ground;
    const std::optional<Ownership>& owners;
    FrameOnGrid on_grid;
    const FuelOverlay& overlay;
    const Grid& grid; ///< at the structure's map scale
};

/// Change of `own` (everything within the k-th distance of the structure, roof included) and of
/// `added` (what it adds to those before it; null where it is the same region) by group. Groups
/// that hold no part are left out. Not numbers where the parts of a region did not close: then
/// true. Law: linear; in a layer the parts add up to what of the region its groups hold.
bool append_treated(const TreatedSplit& split, std::size_t k, const Outline& own,
                    const Outline* added, std::vector<TreatedPart>& parts);

/// The sum over structures for one group.
struct TreatedSum {
    std::vector<ChangeArea> within;         ///< [0] under roofs, [k] within the k-th distance
    std::vector<ChangeArea> within_by_kind; ///< [k * kinds + kind]; empty without parcels
    std::int64_t structures = 0;            ///< that have a part of it within reach
    /// Points of exposure that the change of fuel inside it took off, summed over structures: as
    /// exposure_through_fuel, of the ground inside. Empty where exposures do not compare.
    std::optional<double> points_removed;
};

/// By group. Law: points_removed of ground that holds all change is the sum of
/// exposure_through_fuel with the sign turned.
std::vector<TreatedSum> treated_sums(std::span<const ChangeMember> members,
                                     std::span<const OutlineChange> changes,
                                     const CommonRings& rings, std::size_t groups,
                                     std::size_t kinds);

/// Rows of the change table for one group.
std::vector<ChangeRow> treated_rows(const std::string& name, const TreatedSum& sum);

} // namespace fuelring
