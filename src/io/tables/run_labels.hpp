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
struct RunLabels {
    Labels rings, distances, near;
    Labels office = when(true), heights, parcels, multipliers, draws;
    Labels ring_owners;     ///< with parcels: by ring, then by Ownership::shares
    Labels distance_owners; ///< with parcels: by distance, then by Ownership::kinds
    Labels ring_draws;      ///< with draws: by ring

    /// Of distances alone.
    RunLabels(const RingPlan& plan, double near_m);
    explicit RunLabels(const RunTables& tables);
    /// Every column there can be, once: with L for a ring, D for a distance, N for the near one,
    /// and OWNER or CLASS for the owner.
    static RunLabels of_manual();
    /// The same with {} for what a run puts there.
    static RunLabels of_patterns();

private:
    explicit RunLabels(const std::array<Label, 5>& one_of_each);
};

Label ring_of(const RingPlan& plan, std::size_t ring);
Label distance_of(double within_m);
Label owner_label(const std::string& category);

/// Decimals of the column of that name, among columns whose names have {} for what a run puts
/// there; those of metres where there is none.
int decimals_in(const std::vector<ColumnHead>& patterns, std::string_view name);

} // namespace fuelring
