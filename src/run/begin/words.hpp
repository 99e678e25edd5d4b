// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <initializer_list>
#include <string>
#include <string_view>
#include <vector>

namespace fuelring {

/// In small letters, ASCII alone.
std::string small_letters(std::string_view text);

/// The words of a name: "NLCD_2021_LandCover" is nlcd, 2021, landcover. A word begins where
/// letters, digits and other signs change.
std::vector<std::string> words_of(std::string_view name);

/// True where some word begins with a hint; a hint that begins with = is a whole word.
bool hints_at(std::string_view name, std::initializer_list<std::string_view> hints);

} // namespace fuelring
