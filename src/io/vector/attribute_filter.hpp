// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

namespace fuelring {

/// Why an attribute filter would be read to a part of it only; empty where it is one whole
/// condition. SQLite reads a GeoPackage's filter up to a semicolon or a comment and drops the rest
/// without a word; other formats refuse it. Texts and names in quotes may hold anything.
/// The reason is half a sentence for a message: "it would end at the semicolon".
std::string what_cuts_filter(std::string_view where);

} // namespace fuelring
