// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "exposure/community.hpp"
#include "io/georeference/analysis_grid.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// What an earlier run said of one structure.
struct PastFigures {
    std::optional<double> exposure;
    std::optional<std::int64_t> rank;
    std::optional<double> nearest_conifer_m;
    std::string neighbourhood; ///< empty outside them
};

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
double shared_ground_m2(const Structure& a, const Structure& b, const Grid& grid);

/// The box around a structure, in units of the grid from the corner of cell (0, 0).
Box box_on_grid(const Structure& s, const Grid& grid);

} // namespace fuelring
