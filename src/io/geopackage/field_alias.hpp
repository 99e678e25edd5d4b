// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

namespace fuelring {

/// What a column is called before people, its unit with it: `conifer_m2_1.5_10m` becomes
/// "Conifer 1.5 to 10 m (m²)", `exposure` "Exposure (0 to 100)".
std::string field_alias(std::string_view column);

} // namespace fuelring
