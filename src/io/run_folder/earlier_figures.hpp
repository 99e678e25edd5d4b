// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// What an earlier run's table says of one structure that a later run's can be compared with.
struct EarlierFigures {
    std::string structure_id;
    std::string neighbourhood; ///< empty outside them
    std::optional<double> exposure;
    std::optional<double> nearest_conifer_m;
    std::optional<std::int64_t> rank;
    /// Of the rings asked for together; empty where one of them counts as unmapped, or none was
    /// asked for.
    std::optional<double> near_conifer_m2;
    double near_unmapped_m2 = 0;
};

/// Calls visit(figures) for every row of the layer `structures` of a run's fuelring.gpkg, in the
/// order of the file; no shape is read, and one row at a time is held. `near_rings`: labels of
/// rings. Throws: Error{input} naming file, layer and what is missing.
void read_earlier_figures(const std::string& geopackage, const std::vector<std::string>& near_rings,
                          const std::function<void(const EarlierFigures&)>& visit);

/// Calls visit(structure_id, address) for every row of its layer `addresses`; the address is empty
/// where the structure has none. Throws: Error{input} likewise.
void read_earlier_addresses(
    const std::string& geopackage,
    const std::function<void(const std::string& structure_id, const std::string& address)>& visit);

} // namespace fuelring
