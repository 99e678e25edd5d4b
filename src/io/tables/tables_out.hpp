// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "exposure/community.hpp"
#include "exposure/draws.hpp"
#include "exposure/neighbourhoods.hpp"
#include "exposure/ranking.hpp"
#include "io/gdal/crs.hpp"

#include <filesystem>
#include <functional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace fuelring {

/// Everything the tables of a run are made of.
/// It owns nothing: all that it refers to must outlive it. `results` is by structure, and each has
/// a measure.
struct RunTables {
    const Community& community;
    const std::vector<StructureResult>& results; ///< by structure
    const std::vector<AddressRow>& rows;         ///< in the order of addresses.csv
    const RingPlan& plan;
    const Grid& grid;
    const Crs& crs;
    std::span<const NeighbourhoodRow> neighbourhoods{}; ///< in the order of neighbourhoods.csv
    std::size_t near_ring = 1;                          ///< index of the near distance in outer_m
    const RegistrationDraws* draws = nullptr;           ///< where there are any
    bool other_cover_known = true; ///< false of shares: what grows beside conifers is not known
};

/// Column labels made from outer_m: ring_label(plan, 0) = "0_1.5m", within_label(plan, 1) = "10m".
/// Requires: ring < outer_m.size().
std::string ring_label(const RingPlan& plan, std::size_t ring);
std::string within_label(const RingPlan& plan, std::size_t ring);

/// addresses.csv. Written, fsynced, read back and compared. Throws: Error{output}.
/// Returns the number of text cells that were neutralised.
std::int64_t write_addresses_csv(const std::filesystem::path& path, const RunTables& tables,
                                 bool bom);

/// neighbourhoods.csv, likewise.
std::int64_t write_neighbourhoods_csv(const std::filesystem::path& path, const RunTables& tables,
                                      bool bom);

/// fuelring.gpkg with the layers `structures` (polygons), `addresses` (points) and `neighbourhoods`
/// (polygons; `(outside)` and `(community)` have no shape), and on request `ring_outlines`
/// (polygons). Written, fsynced, opened again: integrity_check, and every row compared.
/// `on_rows` hears of rows that were added and of rows that were read again, some at a time: every
/// row of the structures and addresses twice.
/// Throws: Error{output}.
/// With parcels a layer `parcels` (polygons with the class of their owner, no names) follows the
/// neighbourhoods.
void write_geopackage(const std::filesystem::path& path, const RunTables& tables,
                      bool with_ring_outlines = false,
                      std::function<void(std::int64_t rows)> on_rows = {});

} // namespace fuelring
