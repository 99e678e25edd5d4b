// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/shards/shard_file.hpp"
#include "run/stages/stages.hpp"

namespace fuelring {

/// Results by structure, of a whole community or the places of a part in it.
struct StructureFigures {
    std::vector<MeasuredStructure> measures;
    AddedConifers added;
    DrawnFigures drawn; ///< empty without config.uncertainty
};

/// Writes the figures of `structures`, which rise, as records.
void put_figures(PartWriter& part, std::span<const std::uint32_t> structures,
                 StructureFigures& figures);
/// Reads them into their places, which are there. Throws: Error{input} where they are damaged.
void get_figures(PartReader& part, std::span<const std::uint32_t> structures,
                 StructureFigures& figures);

/// A block of the surface, packed, as a record: totals, then both rasters. get_block puts what it
/// reads into both rasters and returns the totals. Throws: Error{input} where the record is
/// damaged, Error{output}.
void put_block(PartWriter& part, const TileIndex::Tile& block, const SurfaceTotals& totals,
               const RasterOut& priority, const RasterOut& fuel_used);
SurfaceTotals get_block(PartReader& part, const TileIndex::Tile& block, RasterOut& priority,
                        RasterOut& fuel_used);

} // namespace fuelring
