// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/sources.hpp"

#include <optional>
#include <string>
#include <vector>

namespace fuelring {

class ConfigTable;

/// What treating a hectare of conifers costs on the ground of one class of owners.
struct TreatmentCost {
    std::string owner;          ///< class of inputs.parcels; empty: every other one
    std::string method{"hand"}; ///< "hand" or "machine"
    double per_ha = 0;          ///< money
};

/// The table [treat] of the configuration (src/manual/treatment.md).
struct TreatmentSettings {
    std::optional<double> money;         ///< the budget; one of the two
    std::optional<double> hectares;      ///< of conifers
    double smallest_m2 = 10;             ///< of conifers in a unit; planning default
    double gap_m = 5;                    ///< open ground that a unit bridges; planning default
    double max_unit_m2 = 10'000;         ///< of conifers; larger units are cut; planning default
    double fixed_cost_per_unit = 0;      ///< money, on top of costs
    double residual_share = 0;           ///< of a cell's conifers that thinning leaves
    std::vector<TreatmentCost> costs;    ///< empty: nobody said what anything costs
    std::optional<LayerSource> keep_out; ///< cells it touches are neither cut nor crossed
    std::optional<LayerSource> barriers; ///< the same: roads and fences that no map shows

    bool has_costs() const { return !costs.empty(); }
    /// The entry for a class of owners, else that for every other one. Requires: has_costs().
    const TreatmentCost& cost_of(const std::string& owner) const;
};

/// Reads the table; without a budget only where `root` has no table [treat].
/// Throws: Error{usage} naming file, line and key.
std::optional<TreatmentSettings> read_treatment(const ConfigTable& root);

} // namespace fuelring
