// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "imagery/features.hpp"
#include "imagery/shadow_rule.hpp"
#include "imagery/training_set.hpp"
#include "io/imagery/image_raster.hpp"
#include "io/imagery/training_in.hpp"

#include <cstdint>
#include <functional>
#include <optional>
#include <vector>

namespace fuelring {

/// Features of a window of cells.
struct WindowFeatures {
    CellRect rect;
    std::vector<Plane> planes;       ///< by feature; cells of `rect`
    std::vector<std::uint8_t> known; ///< 1 where all images know the cell, else 0
    std::vector<std::uint8_t> dark;  ///< 1 where the rule for shadows says so, else 0
    std::optional<Plane> height;     ///< above the ground, where images tell it
    std::optional<Plane> summer;     ///< how green it is with leaves, where a rule asks for it
    std::optional<Plane> winter;     ///< and without
    bool any_known = false;
};

/// What a reader computes of the bands.
enum class Sight { features, greenness };

/// One worker's eyes: all images, read onto the grid, as features.
class FeatureReader {
public:
    /// All of them must outlive it; `shadow`: null where nobody asks.
    /// Throws: as ImageRaster::Reader.
    FeatureReader(const std::vector<ImageRaster>& images, const AnalysisGrid& target,
                  const FeaturePlan& plan, Sight sight = Sight::features,
                  const ShadowRule* shadow = nullptr);

    /// `rect` may reach beyond the grid; the result stands until the next call.
    /// Law: what is told of a cell does not depend on the window.
    const WindowFeatures& read(const CellRect& rect);

private:
    const FeaturePlan* plan_;
    Sight sight_;
    const ShadowRule* shadow_;
    std::vector<ImageRaster::Reader> readers_;
    std::vector<std::size_t> band_counts_; ///< by reader
    std::vector<Plane> bands_;             ///< of all images
    WindowFeatures window_;                ///< its planes are used again
};

/// Cells around which sample_training will look, one rectangle for each block of the grid that
/// training lies in.
std::vector<CellRect> training_windows(const TrainingLayer& layer);

/// The cells of all training areas, with their features; `layer` is used up. Areas without a known
/// cell stay in the set with 0 cells. Of very wide areas every n-th cell is taken.
/// `stop` is called between blocks and may throw.
TrainingSet sample_training(TrainingLayer& layer, const std::vector<ImageRaster>& images,
                            const AnalysisGrid& target, const FeaturePlan& plan, int jobs,
                            const std::function<void()>& stop);

} // namespace fuelring
