// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

namespace fuelring {

/// What is said beside every score and headline, and in the metadata of what holds figures.
inline constexpr const char* caution =
    "Exposure counts conifers only. It is not a probability of ignition, and a low figure does not "
    "mean a home is safe.";

/// What pages and sheets say besides, to those who would judge people by a figure.
inline constexpr const char* no_verdict =
    "A high figure is not a verdict on an owner, and not a price for insurance.";

/// What goes with a plan besides.
inline constexpr const char* candidates_only =
    "Each unit is a candidate: it needs a visit to the site, the owner's consent, and local rules. "
    "Felling, pruning and burning are work for licensed people under local codes.";

/// Both, for the metadata of a plan's files.
inline std::string plan_caution()
{
    return std::string{caution} + " " + candidates_only;
}

} // namespace fuelring
