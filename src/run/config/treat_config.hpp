// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/sources.hpp"

#include <optional>
#include <string>
#include <vector>

namespace fuelring {

class ConfigTable;

/// What treating a hectare of conifers costs on the ground of one class of owners, where the method
/// can be used.
struct TreatmentCost {
    std::string owner;                       ///< class of inputs.parcels; empty: every other one
    std::string method{"hand"};              ///< "hand", "machine" or "cable"
    double per_ha = 0;                       ///< money
    std::optional<double> max_slope_percent; ///< steeper ground needs another method
    std::optional<double> max_road_m;        ///< so does ground further from a road

    bool has_limit() const { return max_slope_percent || max_road_m; }
};

/// What thinning leaves on the ground of one class of owners.
struct OwnerThinning {
    std::string owner;         ///< class of inputs.parcels, or "no_parcel"
    double residual_share = 0; ///< of a cell's conifers, below 1
};

/// Land whose conifers stay, since who owns it does not take part.
struct DeclinedLand {
    std::vector<std::string> owners;  ///< classes of inputs.parcels
    std::vector<std::string> parcels; ///< values of the column `id`
    std::string id;                   ///< column of inputs.parcels; needed for `parcels`

    bool any() const { return !owners.empty() || !parcels.empty(); }
};

/// A floor or a cap, or both, on what the plan does on some of the land.
struct TreatmentLimit {
    std::string neighbourhood;      ///< where the land is; empty: anywhere
    std::string owner;              ///< class of inputs.parcels, or "no_parcel"; empty: of anybody
    std::string of{"points"};       ///< "points", "hectares" of conifers or "money"
    std::optional<double> at_least; ///< in that unit
    std::optional<double> at_most;
};

/// What may be spent in one year, in the unit of the budget.
struct TreatmentYear {
    int year = 0;
    double budget = 0;
};

/// The form of strips along lines.
struct StripForm {
    double width_m = 10;        ///< of the whole strip, its line in the middle; planning default
    double least_length_m = 30; ///< of a unit, along the line; planning default
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
    std::vector<OwnerThinning> thinning; ///< instead of residual_share
    std::optional<LayerSource> keep_out; ///< cells it touches are neither cut nor crossed
    bool keep_out_by_cover = false;      ///< only what lies inside its polygons stays
    std::optional<LayerSource> barriers; ///< the same: roads and fences that no map shows
    DeclinedLand declined;
    std::optional<LayerSource> required; ///< polygons whose conifers are treated first
    std::optional<LayerSource> strips;   ///< lines; only for shape = "strip"
    std::optional<StripForm> strip_form; ///< where that is the shape; else units are patches
    bool parcel_blocks = false;          ///< a unit is what can be treated of a parcel
    std::vector<TreatmentLimit> limits;
    std::vector<TreatmentYear> years; ///< that follow each other; their budgets add up to the whole
    double regrowth_per_year = 0;     ///< share of what stands removed that is back after a year
    double upkeep_per_ha = 0;         ///< money, in each year after that of the treatment

    /// Whether units are strips or parcels: chosen as they are drawn, not grown of cells.
    bool has_drawn_units() const { return strip_form || parcel_blocks; }
    bool has_costs() const { return !costs.empty(); }
    /// The entries for a class of owners, else those for every other one; the cheapest first.
    std::vector<TreatmentCost> costs_of(const std::string& owner) const;
    /// Whether slope or distance to a road decides which cost holds.
    bool has_method_limits() const;
    /// What stays of a cell's conifers on the ground of a class of owners.
    double residual_of(const std::string& owner) const;
    /// Whether it says who declined, what is required, or another rule whose price is told.
    bool has_constraints() const;
    /// Calls visit(name, source) for each layer that it may name: an optional LayerSource.
    template <typename Self, typename Visit>
    static void for_each_layer(Self& settings, Visit&& visit)
    {
        visit("keep_out", settings.keep_out);
        visit("barriers", settings.barriers);
        visit("required", settings.required);
        visit("strips", settings.strips);
    }
};

/// Reads the table; without a budget only where `root` has no table [treat].
/// Throws: Error{usage} naming file, line and key.
std::optional<TreatmentSettings> read_treatment(const ConfigTable& root);

} // namespace fuelring
