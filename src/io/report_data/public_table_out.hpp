// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/neighbourhood_figures.hpp"

#include <filesystem>

namespace fuelring {

/// The rows of `public_figures` as a CSV, in the format and with the column names of
/// neighbourhoods.csv. Written, fsynced, read back. Throws: Error{output}.
/// `bom` puts the UTF-8 mark in front.
void write_public_neighbourhoods(const std::filesystem::path& path, const RunPicture& picture,
                                 const std::vector<NeighbourhoodFigures>& rows, bool bom);

} // namespace fuelring
