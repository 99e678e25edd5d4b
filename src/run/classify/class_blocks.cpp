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
constexpr float beyond_share = 0.1F; ///< of a feature's range, by which training may be left
constexpr std::size_t block_cells =
    static_cast<std::size_t>(out_block_cells) * static_cast<std::size_t>(out_block_cells);

/// Cells of a block as they are written.
struct BlockCells {
    std::vector<float> share =
        std::vector<float>(block_cells, std::numeric_limits<float>::quiet_NaN());
    std::vector<std::uint16_t> code = std::vector<std::uint16_t>(block_cells, no_data_16);
    std::vector<std::uint16_t> confidence = std::vector<std::uint16_t>(block_cells, no_data_16);
};

/// One of them.
struct ToldCell {
    float share = 0;
    std::uint16_t code = low_code;
    std::uint16_t confidence = no_data_16; ///< nobody knows
};

/// How many cells a pixel of the picture has along a side: a power of two, so that blocks meet at
/// pixels' edges.
std::int64_t picture_step(const Grid& grid)
{
    std::int64_t step = 1;
    while (step < out_block_cells && std::max(grid.cols(), grid.rows()) > most_picture_side * step)
        step *= 2;
    return step;
}

class BlockTeller {
public:
    explicit BlockTeller(const ClassWork& work)
        : work_{work}, reader_{work.images, work.grid.analysis, work.plan,
                               work.model.rule ? Sight::greenness : Sight::features}
    {}

    /// False where no cell is known.
    bool tell(const ClassBlock& block, BlockCells& into, ClassTotals& totals)
    {
        const CellRect rect =
            intersection({block.col * out_block_cells, block.row * out_block_cells, out_block_cells,
                          out_block_cells},
                         work_.grid.analysis.grid.extent());
        const WindowFeatures window = reader_.read(rect);
        if (!window.any_known)
            return false;
        if (!work_.model.rule) {
            likelihoods_.resize(window.known.size() * work_.model.groups.size());
            const std::vector<std::span<const float>> planes(window.planes.begin(),
                                                             window.planes.end());
            work_.model.trees.apply(planes, likelihoods_);
            count_outside(window, totals);
        }
        for (std::int64_t row = 0; row < rect.rows; ++row)
            for (std::int64_t col = 0; col < rect.cols; ++col) {
                const auto from = static_cast<std::size_t>(row * rect.cols + col);
                if (window.known[from] != 0)
                    put(work_.model.rule ? by_rule(window, from) : learned(window, from),
                        static_cast<std::size_t>(row * out_block_cells + col), into, totals);
            }
        for (std::size_t code = 0; code < counts_.size(); ++code)
            if (const std::int64_t cells = std::exchange(counts_[code], 0); cells > 0)
                totals.cells_of_code[static_cast<std::uint16_t>(code)] += cells;
        return true;
    }

private:
    void put(const ToldCell& cell, std::size_t to, BlockCells& into, ClassTotals& totals)
    {
        into.share[to] = cell.share;
        into.code[to] = cell.code;
        into.confidence[to] = cell.confidence;
        ++totals.known_cells;
        totals.share_sum += static_cast<double>(cell.share);
        ++counts_[cell.code];
    }

    ToldCell by_rule(const WindowFeatures& window, std::size_t from) const
    {
        const FuelGroup group =
            group_by_rule(*work_.model.rule, (*window.height)[from], (*window.winter)[from],
                          window.summer ? std::optional{(*window.summer)[from]} : std::nullopt);
        ToldCell cell;
        cell.share = conifer_share_of(group);
        if (group != FuelGroup::grass)
            cell.code = static_cast<std::uint16_t>(group);
        return cell;
    }

    ToldCell learned(const WindowFeatures& window, std::size_t from) const
    {
        if (work_.model.only_trees && window.height && (*window.height)[from] < least_tree_m)
            return {0, low_code, 100};
        float share = 0, best = -1;
        std::size_t likeliest = 0;
        for (std::size_t k = 0; k < work_.model.groups.size(); ++k) {
            const float p = likelihoods_[k * window.known.size() + from];
            share += p * conifer_share_of(work_.model.groups[k]);
            if (p > best) {
                best = p;
                likeliest = k;
            }
        }
        share = work_.model.calibration(share);
        return {share < least_written_share ? 0 : share,
                static_cast<std::uint16_t>(work_.model.groups[likeliest]),
                static_cast<std::uint16_t>(std::lround(best * 100))};
    }

    void count_outside(const WindowFeatures& window, ClassTotals& totals) const
    {
        totals.outside.resize(window.planes.size());
        for (std::size_t k = 0; k < window.planes.size(); ++k) {
            const auto [least, most] = work_.model.ranges[k];
            const float margin = (most - least) * beyond_share;
            const float low = least - margin, high = most + margin;
            const float* const values = window.planes[k].data();
            int count = 0;
            for (std::size_t i = 0; i < window.known.size(); ++i)
                count += window.known[i] & (values[i] >= low && values[i] <= high ? 0 : 1);
            totals.outside[k] += count;
        }
    }

    const ClassWork& work_;
    FeatureReader reader_;
    std::vector<float> likelihoods_;
    std::array<std::int64_t, low_code + 1> counts_{}; ///< by code, of the block at work
};

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

void add(ClassTotals& into, const ClassTotals& more)
{
    for (const auto& [code, cells] : more.cells_of_code)
        into.cells_of_code[code] += cells;
    into.known_cells += more.known_cells;
    into.share_sum += more.share_sum;
    into.outside.resize(std::max(into.outside.size(), more.outside.size()));
    for (std::size_t k = 0; k < more.outside.size(); ++k)
        into.outside[k] += more.outside[k];
}

} // namespace

ClassRasters::ClassRasters(const std::filesystem::path& staging, const std::string& community,
                           const std::string& dates, const std::string& method,
                           const AnalysisGrid& analysis, int jobs)
    : fuel{{staging / "fuel.tif",
            RasterOutSpec::Kind::fuel_used,
            {"fuel class", "confidence in per cent"},
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
        const auto tell = [&](const ClassBlock& block) {
            if (!teller)
                teller.emplace(work);
            ToldBlock told;
            BlockCells cells;
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
        add(totals, part);
    return totals;
}

} // namespace fuelring
