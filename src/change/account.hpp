// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "change/matching.hpp"
#include "change/overlay.hpp"
#include "change/reference_estimate.hpp"

#include <fuelring/measure.hpp>
#include <fuelring/statistics/accuracy.hpp>

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace fuelring {

/// The distances that both runs have, and what of them is comparable.
struct CommonRings {
    RingPlan plan; ///< the distances of both; weights of AFTER where `same`, else 1 each
    std::vector<bool> stretch; ///< by distance: AFTER stretches it on slopes
    bool same = false;         ///< distances and weights are the same: exposures compare
};

/// Distances that stand in both plans (weights compared as they are scaled: to the sum 1).
/// Empty where none does.
std::optional<CommonRings> common_rings(const RingPlan& before, const RingPlan& after);

/// What one structure has of a group of treated polygons (treated_ground.hpp) within a distance.
struct TreatedPart {
    std::size_t group = 0;
    std::size_t distance = 0;              ///< 0 the roof, k the k-th common distance
    ChangeArea own;                        ///< of everything around the structure
    ChangeArea added;                      ///< of what it adds to those before it
    std::vector<ChangeArea> added_by_kind; ///< that, by whose ground it is; empty without parcels
};

/// Change around one outline: [0] under the roof, [k] within the k-th common distance, roof
/// included.
struct OutlineChange {
    std::vector<ChangeArea> within;           ///< around it alone
    std::vector<ChangeArea> to_community;     ///< what it adds to those before it, all of them
    std::vector<ChangeArea> to_neighbourhood; ///< or those of its own neighbourhood
    /// `to_community` by whose ground it is: [k * kinds + kind]; empty without parcels. Not numbers
    /// where the parts of a region did not close.
    std::vector<ChangeArea> to_community_by_kind;
    std::vector<ChangeArea> to_neighbourhood_by_kind; ///< the same of `to_neighbourhood`
    std::vector<TreatedPart> treated;                 ///< only where there are treated polygons
    bool open = false;                                ///< parts did not close, and are not numbers
};

/// Of a structure that both runs have.
struct ExposureChange {
    std::optional<double> change;  ///< AFTER less BEFORE, where both have an exposure
    std::optional<double> by_fuel; ///< of it: through fuel that both dates mapped
    /// The rest: ground mapped at one date only, outlines or slopes that differ between the runs.
    std::optional<double> otherwise() const
    {
        return change && by_fuel ? std::optional{*change - *by_fuel} : std::nullopt;
    }
};

/// Rising, falling and staying are judged at 4 decimals, as exposures are printed and ranked.
enum class Direction { fell, rose, stayed, unknown };
const char* name_of(Direction direction);
/// `unknown` where one of them is missing.
Direction direction_of(std::optional<double> before, std::optional<double> after);

/// Change of exposure through fuel on ground that both dates map: of every ring the conifer area
/// gained less lost, times the points that a square metre counts where the rings are what both
/// dates map of them (points_per_m2, the weights of the priority surface). `within` as in
/// OutlineChange. Empty where no weighted ring is mapped at both dates.
/// Law: where both dates map the same ground it is exposure after less exposure before, to
/// rounding.
std::optional<double> exposure_through_fuel(std::span<const ChangeArea> within,
                                            const RingPlan& plan);
/// By ring, the points that it counts a square metre of conifer. Empty where that is empty.
std::optional<std::vector<double>> points_through_fuel(std::span<const ChangeArea> within,
                                                       const RingPlan& plan);

/// What a row of the change table speaks of.
enum class ChangeScope { community, neighbourhood, owner, neighbourhood_owner, treatment };
/// As the table writes it.
const char* name_of(ChangeScope scope);

/// Mapped area of one kind of change and what the reference points make of it.
struct AdjustedAreas {
    Estimate removed_m2;
    Estimate regrown_m2;
    Estimate unchanged_m2;
};

/// One row of the change table: change by distance around the structures of a scope, nothing
/// counted twice, no roof of theirs inside.
struct ChangeRow {
    ChangeScope scope = ChangeScope::community;
    std::string name;         ///< of the neighbourhood, class of owner or treatment
    std::size_t distance = 0; ///< index of the common distances
    bool within = false;      ///< everything from the wall to it; else the ring that ends there
    std::int64_t structures = 0;
    ChangeArea area;
    std::optional<AdjustedAreas> adjusted; ///< where enough reference points lie inside
    std::string owner; ///< class of owner, where the row is of the ground of one
    std::optional<std::int64_t> reference_points{}; ///< judged ones inside, where they are known
};

/// Appends a row like `of` for every ring, then for everything within every distance. `within` as
/// in OutlineChange.
void append_rows(const ChangeRow& of, std::span<const ChangeArea> within,
                 std::vector<ChangeRow>& rows);

/// A structure or outline that takes part: which neighbourhood it counts to, and whether it is one
/// of the structures that are counted (a former outline of a redrawn structure is not).
struct ChangeMember {
    std::string neighbourhood; ///< empty outside them
    bool counted = true;
};

/// The rows: the community, then the neighbourhoods by name; `(outside)` where there are
/// neighbourhoods and structures outside them; then the community's ground by `kinds` of owners,
/// where there are any; then that of each neighbourhood, likewise. Of each the rings, then the
/// distances.
/// Shape: `changes` by member; `distances` counts the common ones, without the roof.
std::vector<ChangeRow> change_rows(std::span<const ChangeMember> members,
                                   std::span<const OutlineChange> changes, std::size_t distances,
                                   const std::vector<std::string>& kinds);

/// The matrix with its classes in the order of drawn_class_names.
/// Throws: Error{input} naming `matrix_file` where it has other ones.
ConfusionMatrix matrix_of_change(const ConfusionMatrix& matrix, const std::string& matrix_file);

/// The community's row of everything within the widest distance: the ground that points are drawn
/// from unless they are drawn nearer.
const ChangeRow& widest_row(const std::vector<ChangeRow>& rows);

/// Adds adjusted areas to the widest row, and to no other: nobody knows how many points of a matrix
/// lie inside. The strata are the ground of whole cells by their class (ChangeArea::class_m2), as
/// points were drawn. Throws: as `assess`. Requires: matrix_of_change gave it.
void adjust_widest(std::vector<ChangeRow>& rows, const ConfusionMatrix& matrix);

/// Fewer judged points inside a row are too few for an estimate: a planning default.
inline constexpr std::int64_t least_points_inside = 30;

/// Counts the points inside a row and, where they are enough, adds its adjusted areas
/// (corrected_area). `inside` by point of the sample.
void adjust_row(ChangeRow& row, const ReferenceSample& sample, const std::vector<bool>& inside);

} // namespace fuelring
