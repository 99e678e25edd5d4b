// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "exposure/community.hpp"
#include "io/crs.hpp"
#include "io/sources.hpp"
#include "io/warnings.hpp"

#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// What the vector inputs of a run are.
struct CommunitySources {
    StructureSource structures;
    std::optional<AddressSource> addresses{};
    std::optional<NeighbourhoodSource> neighbourhoods{};
};

/// Reads footprints, addresses and neighbourhoods into the analysis CRS and the grid's frames.
/// Multi-part footprints are united, crossings repaired by linework (GEOS make_valid) and flagged,
/// empty ones and those below min_area_m2 left out and counted in `warnings`. Addresses join the
/// footprint that holds them, else the nearest within join_within_m; those that join nothing are
/// all listed in a warning. A structure belongs to the neighbourhood with most of its footprint.
/// Keys of `warnings`: empty_outlines, below_min_area, repaired_outlines, duplicate_outlines,
/// parts_not_polygons, structures_off_raster, addresses_without_point, addresses_not_joined,
/// repaired_neighbourhoods.
/// Throws: Error{input} naming file, layer, feature: not readable, no such layer or column, lines
/// or points where polygons are needed, no CRS, nothing left, a null or repeated id, nothing on the
/// raster, distances of the grid off the ground's by more than 0.1 per cent.
/// `crs_notes`, where given, gets one line for each layer: which CRS it is in, whether the file or
/// the configuration says so, and whether it was reprojected.
Community read_community(const CommunitySources& sources, const Grid& grid, const Crs& crs,
                         Warnings& warnings, std::vector<std::string>* crs_notes = nullptr);

} // namespace fuelring
