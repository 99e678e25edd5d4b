// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/plan_grid.hpp"
#include "run/access/method_ground.hpp"
#include "run/inputs/inputs.hpp"
#include "run/inputs/majority.hpp"

#include <span>
#include <string>
#include <vector>

namespace fuelring {

/// Owner class and neighbourhood of a zone, and how its conifers are treated.
struct TreatZone {
    std::string owner;         ///< "no_parcel" off the parcels; empty without a parcel layer
    std::string neighbourhood; ///< "(outside)" off them; empty without neighbourhoods
    std::string method;        ///< empty without costs
    double money_per_m2 = 0;   ///< 0 without costs
    plan::Residual residual{}; ///< what stays of a cell's conifers
};

/// The zones of a run: every method of every class of owners in every neighbourhood.
class TreatZones {
public:
    /// Reads both layers. Throws: Error{input} naming layer and feature, or that zones are too
    /// many.
    TreatZones(const InputSettings& sources, const TreatmentSettings& settings,
               const Inputs& inputs);

    /// What one worker needs.
    struct Planes {
        Majority::Planes majority;
        std::vector<std::uint16_t> owner, neighbourhood;
    };
    /// The zone of each cell of a block, row by row: that of the owner and of the neighbourhood
    /// that hold most of it. Shape: `zone` has a number for each cell of `rect`. For any thread.
    /// Of several methods it is that of the cheapest one.
    void of_cells(const CellRect& rect, Planes& planes, std::span<plan::ZoneId> zone) const;
    /// Gives each cell of a block, which has the zone of of_cells or none, that of the cheapest
    /// method that its ground allows; plan::no_zone where none does. For any thread.
    void choose_methods(const MethodGround::Block& ground, std::span<plan::ZoneId> zone) const;

    /// By number; [plan::no_zone] is no ground of a unit.
    const std::vector<TreatZone>& all() const { return zones_; }

private:
    /// Adds the zones of some land, one for each method.
    void add(const TreatZone& land, const TreatmentSettings& settings);

    std::vector<TreatZone> zones_;
    std::vector<TreatmentCost> cost_;  ///< by zone; none without costs
    std::vector<plan::ZoneId> end_of_; ///< by zone: behind the last method of its land
    std::vector<plan::ZoneId> first_;  ///< by owner, then neighbourhood
    Majority owners_;
    Majority neighbourhoods_;
};

/// The class of whoever a parcel's owner column names, as zones have it.
std::string zone_owner(const ParcelSource& parcels, const std::string& text);

} // namespace fuelring
