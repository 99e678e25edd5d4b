// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

namespace fuelring::report {

/// The form of a plan's units, as its configuration has it.
struct UnitForm {
    std::string shape = "patch"; ///< or strip, or parcel
    double smallest_m2 = 0;      ///< conifers of a patch or a parcel
    double width_m = 0;          ///< of a strip
    double least_length_m = 0;
};

/// "patches of at least 10 m2", "strips 12 m wide and at least 30 m long", "whole parcels with at
/// least 10 m2 of conifers". `square_metres`: the unit as the place for the words can show it.
std::string units_in_words(const UnitForm& form, std::string_view square_metres);

/// What people call a constraint of a plan: "declined land of crown".
/// `constraint`: its key in the configuration, `name`: which one, as treatment_constraints.csv has
/// both. A key that has no words stands for itself.
std::string constraint_in_words(std::string_view constraint, const std::string& name);

} // namespace fuelring::report
