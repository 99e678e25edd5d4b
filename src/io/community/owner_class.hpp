// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

namespace fuelring {

inline constexpr std::string_view private_owner = "private";
inline constexpr std::string_view unknown_owner = "unknown"; ///< where the owner cell is empty
inline constexpr std::size_t most_owner_classes = 20;
/// Parcels may overlap by strips of this width on average: inaccuracies of drawing. Planning
/// default.
inline constexpr double overlap_noise_m = 0.1;

/// The class of an owner, fit for the name of a column: lower case, what is neither a letter nor a
/// digit becomes one underscore, blanks around it go; texts that differ in no more than that are
/// one class. `unknown` where nothing is left; the names own, other_private and no_parcel, which
/// columns have already, get an underscore at their end.
std::string owner_class(std::string_view text);

} // namespace fuelring
