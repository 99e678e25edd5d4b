// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/sources.hpp"
#include "io/gdal/handles.hpp"

#include <optional>
#include <string>
#include <string_view>

namespace fuelring {

/// Metres in a unit. A US survey foot is 1200/3937 m, a foot 0.3048 m.
/// Source: the international foot of 1959; the survey foot that the United
/// States used until 2022.
double metres_in(HeightUnit unit);
const char* name_of(HeightUnit unit); ///< "metres", "feet", "US survey feet"

/// The unit of a key of the configuration: "m", "ft" or "us-ft"; empty for anything else.
/// The case of letters matters here; in files it does not.
std::optional<HeightUnit> height_unit_of_key(std::string_view text);

/// Which unit the heights of a band are in, and why.
struct HeightUnitFound {
    HeightUnit unit = HeightUnit::metre;
    std::string reason;   ///< "by the file", "by the configuration", "assumed: ..."
    bool assumed = false; ///< the file is silent, or speaks of a unit that is not known
};
/// The configuration's unit, else that of the band, else that of the vertical part of its CRS.
/// Law: what is assumed is the metre.
HeightUnitFound find_height_unit(GDALDatasetH file, GDALRasterBandH band,
                                 std::optional<HeightUnit> configured);

} // namespace fuelring
