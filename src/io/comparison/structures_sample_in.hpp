// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace fuelring {

/// A structure of an earlier run, and a point on its footprint.
struct SampledStructure {
    std::string id;
    double lon_deg = 0;
    double lat_deg = 0;
    std::string neighbourhood{}; ///< empty outside them
    std::string owner{};         ///< class of its ground's; empty where not known
};

/// At most `at_most` structures, spread evenly over the table of an earlier run: the layer
/// `structures` of its fuelring.gpkg. Takes the same time however long the table is.
/// Throws: Error{input} where there is no such layer or it lacks a column.
/// Order: as in the table; the same table gives the same sample. Longitude and latitude in WGS 84.
/// Requires: at_most is at least 0.
std::vector<SampledStructure> sample_structures(const std::string& geopackage,
                                                std::int64_t at_most);

/// An address of an earlier run.
struct SampledAddress {
    std::string structure_id;
    std::string text; ///< empty: the structure has none
};
/// The same of its layer `addresses`.
std::vector<SampledAddress> sample_addresses(const std::string& geopackage, std::int64_t at_most);

} // namespace fuelring
