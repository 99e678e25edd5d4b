// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "damage/judged_reading.hpp"

#include <string>
#include <vector>

namespace fuelring::test {

// Every kind of input that the program takes, small, and read by the program's own code. Pristine
// files are made below `folder`.

std::vector<Format> raster_formats(const std::string& folder);
std::vector<Format> layer_formats(const std::string& folder);
std::vector<Format> text_formats(const std::string& folder);
/// The state file and run folders; those come twice: as they are, and with checksums that fit the
/// damage, as somebody would make them who means harm.
std::vector<Format> own_formats(const std::string& folder);

} // namespace fuelring::test
