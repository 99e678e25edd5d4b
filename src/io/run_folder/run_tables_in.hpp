// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "exposure/community.hpp"
#include "io/georeference/analysis_grid.hpp"

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// What messages call fuelring.gpkg of a run.
inline constexpr const char* tables_of_run = "the run's tables";

/// What a run's table says of one structure.
struct PastFigures {
    std::optional<double> exposure{};
    std::optional<std::int64_t> rank{};
    std::optional<double> nearest_conifer_m{};
    std::string neighbourhood{}; ///< empty outside them
    /// Of the rings asked for together; empty where one of them counts as unmapped, or none was
    /// asked for.
    std::optional<double> near_conifer_m2{};
    double near_unmapped_m2 = 0;
    double ring_down_factor = 1; ///< 1 where the run had no heights
    double ring_across_factor = 1;
    std::optional<double> aspect_deg{}; ///< empty on flat ground, and without heights
};

/// Calls visit(structure_id, figures) for every row of the layer `structures` of a run's
/// fuelring.gpkg, in the order of the file; no shape is read, and one row at a time is held.
/// `near_rings`: labels of rings. Throws: Error{input} naming file, layer and what is missing.
void read_past_figures(
    const std::string& geopackage, const std::vector<std::string>& near_rings,
    const std::function<void(const std::string& structure_id, const PastFigures&)>& visit);

/// Calls visit(structure_id, address) for every row of its layer `addresses`; the address is empty
/// where the structure has none. Throws: Error{input} likewise.
void read_past_addresses(
    const std::string& geopackage,
    const std::function<void(const std::string& structure_id, const std::string& address)>& visit);

/// A row of an earlier run's address table.
struct PastAddress {
    std::string text; ///< empty for a structure without address
    std::size_t structure = 0;
};

/// The tables of an earlier run: layers `structures` and `addresses` of its fuelring.gpkg.
struct PastTables {
    std::vector<Structure> structures; ///< in bytewise order of their id; frames of `grid`
    std::vector<PastFigures> figures;  ///< by structure
    std::vector<PastAddress> addresses;
};

/// Throws: Error{input} naming file, layer and what is missing.
PastTables read_run_tables(const std::string& geopackage, const AnalysisGrid& grid);

/// The parcels near these structures, by class of owner: layer `parcels` of fuelring.gpkg, which is
/// there where the run had a parcel layer. `widest_m`: what lies far beyond it is not read.
std::optional<Ownership> read_run_parcels(const std::string& geopackage,
                                          const std::vector<Structure>& structures,
                                          const AnalysisGrid& grid, double widest_m);

/// Ground that two footprints share, in square metres of the first one's frame.
/// Throws: std::runtime_error with GEOS's reason.
/// 0 where one of them encloses nothing.
double shared_ground_m2(const Structure& a, const Structure& b, const Grid& grid);

/// The box around a structure, in units of the grid from the corner of cell (0, 0).
Box box_on_grid(const Structure& s, const Grid& grid);

} // namespace fuelring
