// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/cache/input_digests.hpp"
#include "run/classify/cell_features.hpp"
#include "run/classify/class_grid.hpp"
#include "run/classify/near_homes.hpp"

#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// What the model and the blocks of a classification depend on. Of images that is, tile by tile,
/// the files whose cells a window looks at: one that changed makes the blocks new that it touches,
/// and all of them only where training lies in it.
/// Identity: a key is the SHA-256 of everything that the stage could look at, of the program too.
/// Law: results under equal keys have equal bits. Unequal keys promise nothing.
class ClassKeys {
public:
    /// `inputs`: digests by role, not empty. `images` must outlive the constructor alone.
    ClassKeys(const InputDigests& inputs, const std::vector<ImageRaster>& images,
              const ClassGrid& grid, const FeaturePlan& plan);

    /// `windows`: what training and visits look at (training_windows); `settings`: of their layers.
    RawDigest of_model(const std::vector<CellRect>& windows, const TrainingSource& settings,
                       const std::optional<CorrectionSource>& visits) const;
    /// `model`: of the bytes that the model is. `homes`: null where there are none.
    RawDigest of_block(const ClassBlock& block, const RawDigest& model,
                       const NearHomes* homes) const;

private:
    struct Tile {
        Box box; ///< in the image's CRS
        std::string digest;
    };
    struct Image {
        std::optional<Reprojection> way; ///< from the grid's CRS; none where it is the image's
        double cell;                     ///< side, in units of its CRS
        std::vector<Tile> tiles;
    };
    void put_tiles(ByteWriter& bytes, const CellRect& rect) const;

    Grid grid_;
    int halo_;
    std::vector<Image> images_;
    std::string common_;   ///< what everything depends on
    std::string training_; ///< digests of the layers
};

} // namespace fuelring
