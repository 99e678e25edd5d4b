// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/raster/fuel_raster.hpp"

#include <string>

namespace fuelring {

/// What a raster looks like whose cells are not the codes of the class table, and what to do.
struct FuelLook {
    std::string words; ///< "it looks like a photograph: ..."; empty: like classes of another table
    std::string remedy;
};

/// By the bands of the file and the codes of `census`. Planning defaults: percentages have eleven
/// different values or more from 0 to 100, measurements 32 or more; those of a file of three bands
/// or more, from 0 to above 100, are a photograph's, whatever its bands are called. Throws:
/// Error{input} when the file cannot be opened any more.
/// Law: a remedy is there wherever words are.
FuelLook look_of(const FuelRaster& raster, const CodeCensus& census);

/// Of cells with fractions, by the range of those that were read; `type` as GDAL calls it.
FuelLook look_of_fractions(double least, double most, const std::string& type);

} // namespace fuelring
