// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/run_picture.hpp"

#include <string>

namespace fuelring {

/// report.html of a run: one file that works from disk without a network. With `for_public`
/// neighbourhoods only, and nothing that leads back to a home. The same picture gives the same
/// bytes. Throws: Error{input} as `public_figures` does.
std::string report_page(const RunPicture& picture, bool for_public);

} // namespace fuelring
