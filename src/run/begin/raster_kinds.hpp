// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/folder/found.hpp"

#include <cstdint>
#include <string>
#include <vector>

namespace fuelring {

/// What the cells of a raster are.
enum class RasterKind { classes, percent, fraction, heights, surface, image, unknown };

/// A class table, and how well it has the codes that were sampled.
struct TableFit {
    const FoundTable* table;
    double known = 0;     ///< part of the sampled cells whose code it has
    double occurring = 0; ///< part of its codes that occur
    std::vector<std::int64_t> lacking{};
    double score() const { return known + occurring + (table->in_folder ? 1 : 0); }
};

/// What a raster is for. It refers to what was found, which outlives it.
struct RasterGuess {
    const FoundRaster* raster;
    RasterKind kind = RasterKind::unknown;
    double score = 0;
    std::vector<TableFit> fits{}; ///< the best first
    std::string what{};
};

/// By its bands, the values that were sampled, and where these leave it open by its name.
RasterGuess guess_of(const FoundRaster& raster, const std::vector<FoundTable>& tables);

/// Classes or shares.
bool is_fuel(RasterKind kind);

/// The name of its file, or of the first of its tiles.
std::string name_of(const FoundRaster& raster);

/// The first few codes, with "..." where there are more.
std::string listed(const std::vector<std::int64_t>& codes);

} // namespace fuelring
