// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "imagery/conifer_area.hpp"
#include "io/cog/cog_writer.hpp"
#include "run/classify/class_grid.hpp"
#include "run/classify/class_model.hpp"
#include "run/classify/near_homes.hpp"

#include <array>
#include <cstdint>
#include <limits>
#include <map>
#include <vector>

namespace fuelring {

/// Added to the confidence of cells where light is missing.
inline constexpr std::uint16_t shadow_code = 200;

/// Some land, cell by cell of the outputs.
struct LandTotals {
    std::int64_t known_cells = 0;
    std::int64_t shadow_cells = 0; ///< of them
    double share_sum = 0;          ///< of conifers as written, in cells
    LandTold told;                 ///< before small shares are written as 0; by a model alone
};

/// What the blocks add up to.
struct ClassTotals {
    std::map<std::uint16_t, std::int64_t> cells_of_code;
    LandTotals all;
    LandTotals near; ///< near structures, where they are known
    std::int64_t near_unknown_cells = 0;
    std::vector<std::int64_t> outside; ///< by feature: cells beyond what training had
    std::int64_t known_blocks = 0;
    std::int64_t unlike_blocks = 0; ///< of them, where most cells are beyond it in some feature

    void add(const ClassTotals& more);
};

/// Cells of a block as they are written.
struct BlockCells {
    static constexpr std::size_t count =
        static_cast<std::size_t>(out_block_cells) * static_cast<std::size_t>(out_block_cells);
    std::vector<float> share;
    std::vector<std::uint16_t> code, confidence;

    /// Makes room for a block of which nothing is known.
    void clear()
    {
        share.assign(count, std::numeric_limits<float>::quiet_NaN());
        code.assign(count, no_data_16);
        confidence.assign(count, no_data_16);
    }
};

/// What classifying needs, for all threads.
struct ClassWork {
    const std::vector<ImageRaster>& images;
    const ClassGrid& grid;
    const FeaturePlan& plan;
    const ClassModel& model;
    const NearHomes* homes; ///< null where nobody says where they stand
};

/// One worker, who tells block after block.
class BlockTeller {
public:
    /// `work` must outlive it. Throws: as FeatureReader.
    explicit BlockTeller(const ClassWork& work);

    /// False where no cell is known.
    bool tell(const ClassBlock& block, BlockCells& into, ClassTotals& totals);

private:
    struct ToldCell;
    void tell_row(const WindowFeatures& window, std::int64_t row, BlockCells& into,
                  ClassTotals& totals);
    static void put(const ToldCell& cell, LandTotals& into);
    ToldCell by_rule(const WindowFeatures& window, std::size_t from) const;
    ToldCell learned(const WindowFeatures& window, std::size_t from) const;
    void count_outside(const WindowFeatures& window, ClassTotals& totals) const;
    void count_unknown_near(const WindowFeatures& window, ClassTotals& totals) const;

    const ClassWork& work_;
    FeatureReader reader_;
    std::vector<float> likelihoods_;
    std::vector<std::uint8_t> near_;                  ///< of the block; empty: none
    std::array<std::int64_t, low_code + 1> counts_{}; ///< by code, of the block
};

} // namespace fuelring
