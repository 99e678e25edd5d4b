// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/cog/cog_writer.hpp"
#include "report/surface_image.hpp"
#include "run/classify/block_teller.hpp"

#include <cstdint>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

namespace fuelring {

/// fuel.tif and conifer_share.tif while blocks are written.
struct ClassRasters {
    RasterOut fuel;  ///< code, and confidence in per cent
    RasterOut share; ///< 0 to 1
    /// `method`: how cells are told, for whoever opens the files.
    ClassRasters(const std::filesystem::path& staging, const std::string& community,
                 const std::string& dates, const std::string& method, const AnalysisGrid& analysis,
                 int jobs);
};

/// A block that was told, apart from its cells, which are in the rasters.
struct ToldBlock {
    ClassTotals totals;
    std::string pixels; ///< of the picture, row by row; empty where no cell is known
};

/// Asked for each block: what is known of it from before, else what `tell` makes of it, which puts
/// its cells into the rasters.
using BlockSource =
    std::function<ToldBlock(std::size_t block, const std::function<ToldBlock()>& tell)>;

/// Classifies all blocks in parallel; the picture, of as many cells a pixel as make it fit a page,
/// has shares in per cent as indices, 101 for what is unknown.
/// Law: independent of `jobs`. `source` is called once for each block, from any thread, and may
/// throw.
ClassTotals classify_blocks(const ClassWork& work, int jobs, ClassRasters& rasters,
                            IndexedImage& picture, const BlockSource& source);

} // namespace fuelring
