// SPDX-License-Identifier: Apache-2.0
#pragma once

// Names by which a run's results are read again: files of its set, layers of fuelring.gpkg and
// columns of theirs. Who writes one and who reads it take the name from here.

namespace fuelring {
inline constexpr const char* tables_file = "fuelring.gpkg";
inline constexpr const char* fuel_used_file = "fuel_used.tif";
inline constexpr const char* surface_file = "priority.tif";
} // namespace fuelring

namespace fuelring::layers_of_run {
inline constexpr const char* structures = "structures";
inline constexpr const char* addresses = "addresses";
inline constexpr const char* neighbourhoods = "neighbourhoods";
inline constexpr const char* parcels = "parcels"; ///< where the run had a parcel layer
} // namespace fuelring::layers_of_run

namespace fuelring::columns_of_run {
inline constexpr const char* structure_id = "structure_id";
inline constexpr const char* address = "address";             ///< empty for a structure without one
inline constexpr const char* neighbourhood = "neighbourhood"; ///< empty outside them
inline constexpr const char* exposure = "exposure";           ///< 0 to 100
inline constexpr const char* rank = "rank";
inline constexpr const char* nearest_conifer_m = "nearest_conifer_m";
// Of rings, before the label of the ring: "ring_m2_0_1.5m".
inline constexpr const char* ring_m2 = "ring_m2_";
inline constexpr const char* conifer_m2 = "conifer_m2_";
inline constexpr const char* unmapped_frac = "unmapped_frac_";
// How rings were stretched; only where the run had heights.
inline constexpr const char* ring_down_factor = "ring_down_factor";
inline constexpr const char* ring_across_factor = "ring_across_factor";
inline constexpr const char* aspect_deg = "aspect_deg"; ///< clockwise from the grid's north
} // namespace fuelring::columns_of_run
