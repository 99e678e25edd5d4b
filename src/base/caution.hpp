// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

namespace fuelring {

/// Goes with every score and headline, into the help of every command, and into the metadata of
/// files with figures.
inline constexpr const char* caution =
    "Exposure counts conifers only. It is not a probability of ignition, and a low figure does not "
    "mean a home is safe.";

/// Pages say it besides, to those who would judge people by a figure.
inline constexpr const char* no_verdict =
    "A high figure is not a verdict on an owner, and not a price for insurance.";

/// Who may do the work: part of every plan's note and of every command's help.
inline const std::string licensed_work =
    "Felling, pruning and burning are work for licensed people under local codes.";

/// What goes with a plan besides.
inline const std::string candidates_only =
    "Each unit is a candidate: it needs a site visit, the owner's consent and a check of local "
    "rules. " +
    licensed_work;

/// Both, for the metadata of a plan's files.
inline std::string plan_caution()
{
    return std::string{caution} + " " + candidates_only;
}

} // namespace fuelring
