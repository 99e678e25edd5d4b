// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/tables/column.hpp"
#include "io/tables/tables_out.hpp"

#include <array>
#include <string_view>
#include <vector>

namespace fuelring {

/// What of the columns of a run depends on it: its distances, and the inputs that it had. `near` is
/// the near distance; `office`: columns that the public does not get.
/// An empty list leaves its columns out; `office`, `heights`, `parcels`, `multipliers` and `draws`
/// have one label without a text, or none.
struct RunLabels {
    Labels rings, distances, near;
    Labels office = when(true), heights, parcels, multipliers, draws;
    Labels homes, people;   ///< where the structures say which are homes, and who lives there
    Labels near_people;     ///< the near distance, where there are people
    Labels near_homes;      ///< the same with homes
    Labels ring_owners;     ///< with parcels: by ring, then by Ownership::shares
    Labels distance_owners; ///< with parcels: by distance, then by Ownership::kinds
    Labels ring_draws;      ///< with draws: by ring

    /// Of distances alone.
    RunLabels(const RingPlan& plan, double near_m);
    /// With what the tables of this run hold.
    explicit RunLabels(const RunTables& tables);
    /// Every column there can be, once: with L for a ring, D for a distance, N for the near one,
    /// and OWNER or CLASS for the owner.
    static RunLabels of_manual();
    /// The same with {} for what a run puts there.
    static RunLabels of_patterns();

private:
    explicit RunLabels(const std::array<Label, 5>& one_of_each);
};

/// "1.5_10m" and "1.5 to 10 m". Requires: ring < outer_m.size().
Label ring_of(const RingPlan& plan, std::size_t ring);
/// "10m" and "10 m". A distance has as few digits as tell it from every other double.
Label distance_of(double within_m);
/// The title has blanks for the underscores of the name.
Label owner_label(const std::string& category);

/// Decimals of the column of that name, among columns whose names have {} for what a run puts
/// there; those of metres where there is none.
/// Of several patterns that fit, the longest is the column's.
int decimals_in(const std::vector<ColumnHead>& patterns, std::string_view name);

} // namespace fuelring
