// SPDX-License-Identifier: Apache-2.0

// Blocks are independent: each is read with what its features see around it, told, and written.
// Sums are kept by block and added in order, so that they do not depend on threads.
#include "run/classify/class_blocks.hpp"

#include "base/caution.hpp"
#include "base/colours/cividis.hpp"
#include "base/parallel_for.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>

namespace fuelring {

namespace {

constexpr std::int64_t most_picture_side = 2000;
constexpr std::uint8_t unknown_pixel = 101;

/// How many cells a pixel of the picture has along a side: a power of two, so that blocks meet at
/// pixels' edges.
std::int64_t picture_step(const Grid& grid)
{
    std::int64_t step = 1;
    while (step < out_block_cells && std::max(grid.cols(), grid.rows()) > most_picture_side * step)
        step *= 2;
    return step;
}

/// Mean shares of squares of step x step cells, in per cent.
std::string pixels_of(const BlockCells& told, std::int64_t step)
{
    const std::int64_t side = out_block_cells / step;
    std::string pixels(static_cast<std::size_t>(side * side), static_cast<char>(unknown_pixel));
    for (std::int64_t row = 0; row < side; ++row)
        for (std::int64_t col = 0; col < side; ++col) {
            double sum = 0, known = 0;
            for (std::int64_t r = row * step; r < (row + 1) * step; ++r)
                for (std::int64_t c = col * step; c < (col + 1) * step; ++c)
                    if (const float share =
                            told.share[static_cast<std::size_t>(r * out_block_cells + c)];
                        !std::isnan(share)) {
                        sum += static_cast<double>(share);
                        known += 1;
                    }
            if (known > 0)
                pixels[static_cast<std::size_t>(row * side + col)] =
                    static_cast<char>(std::lround(100 * sum / known));
        }
    return pixels;
}

void paint(const std::string& pixels, const ClassBlock& block, std::int64_t step,
           IndexedImage& picture)
{
    const std::int64_t side = out_block_cells / step;
    if (pixels.size() != static_cast<std::size_t>(side * side))
        return; // nothing is known there
    const std::int64_t left = block.col * side;
    const std::int64_t cols = std::min(side, picture.cols - left);
    for (std::int64_t row = 0; row < side && block.row * side + row < picture.rows; ++row)
        std::transform(pixels.begin() + row * side, pixels.begin() + row * side + cols,
                       picture.pixels.begin() + (block.row * side + row) * picture.cols + left,
                       [](char c) { return static_cast<std::uint8_t>(c); });
}

IndexedImage empty_picture(const Grid& grid, std::int64_t step)
{
    IndexedImage picture;
    picture.cols = (grid.cols() + step - 1) / step;
    picture.rows = (grid.rows() + step - 1) / step;
    const auto level = [](double v) { return static_cast<std::uint8_t>(std::lround(255 * v)); };
    for (int share = 0; share <= 100; ++share) {
        const report::Colour c = report::cividis(share / 100.0);
        picture.colours.push_back({level(c.red), level(c.green), level(c.blue), 255});
    }
    picture.colours.push_back({255, 255, 255, 0});
    picture.pixels.assign(static_cast<std::size_t>(picture.cols * picture.rows), unknown_pixel);
    return picture;
}

} // namespace

ClassRasters::ClassRasters(const std::filesystem::path& staging, const std::string& community,
                           const std::string& dates, const std::string& method,
                           const AnalysisGrid& analysis, int jobs)
    : fuel{{staging / "fuel.tif",
            RasterOutSpec::Kind::fuel_used,
            {"fuel class", "confidence in per cent, in shadow 200 more"},
            {{"COMMUNITY", community},
             {"IMAGERY_DATE", dates},
             {"CLASSES", "codes of fuel_classes.csv; 65535 unknown"},
             {"METHOD", method},
             {"CAUTION", caution}},
            jobs},
           analysis.grid,
           analysis.crs},
      share{{staging / "conifer_share.tif",
             RasterOutSpec::Kind::surface,
             {"share of conifers"},
             {{"COMMUNITY", community},
              {"IMAGERY_DATE", dates},
              {"VALUE", "expected share of the cell under conifers, 0 to 1; NaN unknown"},
              {"METHOD", method},
              {"CAUTION", caution}},
             jobs},
            analysis.grid,
            analysis.crs}
{}

ClassTotals classify_blocks(const ClassWork& work, int jobs, ClassRasters& rasters,
                            IndexedImage& picture, const BlockSource& source)
{
    const std::vector<ClassBlock>& blocks = work.grid.blocks;
    const std::int64_t step = picture_step(work.grid.analysis.grid);
    picture = empty_picture(work.grid.analysis.grid, step);
    std::vector<ClassTotals> parts(blocks.size());
    share_out(blocks.size(), jobs, [&](const auto& next) {
        std::optional<BlockTeller> teller;
        BlockCells cells;
        const auto tell = [&](const ClassBlock& block) {
            if (!teller)
                teller.emplace(work);
            ToldBlock told;
            cells.clear();
            if (!teller->tell(block, cells, told.totals))
                return told;
            rasters.share.put(block.col, block.row, cells.share);
            rasters.fuel.put(block.col, block.row, cells.code, cells.confidence);
            told.pixels = pixels_of(cells, step);
            return told;
        };
        for (std::size_t k = next(); k < blocks.size(); k = next()) {
            ToldBlock told = source(k, [&] { return tell(blocks[k]); });
            paint(told.pixels, blocks[k], step, picture);
            parts[k] = std::move(told.totals);
        }
    });
    ClassTotals totals;
    for (const ClassTotals& part : parts)
        totals.add(part);
    return totals;
}

} // namespace fuelring
