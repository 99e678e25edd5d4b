// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/serialization.hpp"
#include "io/cog/cog_writer.hpp"
#include "run/schedule/stage_results.hpp"

#include <optional>
#include <span>

namespace fuelring {

/// Results as the state of a run keeps them: `get` gives back what `put` was given, bit for bit.
/// Throws: what ByteReader throws where the bytes are too few or no such result.
void put(ByteWriter& to, const StructureMeasure& m);
void get(ByteReader& from, StructureMeasure& m);
/// As many as there are places for.
void put(ByteWriter& to, std::span<const double> figures);
void get(ByteReader& from, std::span<double> figures);
void put(ByteWriter& to, const std::optional<PackedBlockFacts>& facts);
void get(ByteReader& from, std::optional<PackedBlockFacts>& facts);
void put(ByteWriter& to, const SurfaceTotals& t);
void get(ByteReader& from, SurfaceTotals& t);
/// Without what needs all structures: in_first.
void put(ByteWriter& to, const StructureDraws& d);
void get(ByteReader& from, StructureDraws& d);
void put(ByteWriter& to, const Terrain& t);
void get(ByteReader& from, Terrain& t);

} // namespace fuelring
