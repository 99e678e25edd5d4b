// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/warnings.hpp"
#include "exposure/community.hpp"
#include "run/config/config.hpp"

#include <vector>

namespace fuelring {

/// The product of the multipliers of a structure's attributes, by structure; none where no
/// attributes are configured. An empty value takes the multiplier for unknown ones, or 1 where
/// there is none; warnings `attribute_empty` and `attribute_unknown` count them.
/// Throws: Error{usage} for a table that is wrong; Error{input} that lists values which a table
/// lacks, unless the configuration gives them a multiplier.
std::vector<double> multipliers_of(const std::vector<AttributeSource>& attributes,
                                   const std::string& structures_path, const Community& community,
                                   Warnings& warnings);

} // namespace fuelring
