// SPDX-License-Identifier: Apache-2.0

// Blocks are independent: each is read with what its features see around it, told, and written.
// Sums are kept by block and added in order, so that they do not depend on threads.
#include "run/classify/class_blocks.hpp"

#include "base/caution.hpp"
#include "base/colours/cividis.hpp"
#include "base/parallel_for.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

namespace fuelring {

namespace {

constexpr std::int64_t most_picture_side = 2000;
constexpr std::uint8_t unknown_pixel = 101;
constexpr float beyond_share = 0.1F; ///< of a feature's range, by which training may be left
constexpr std::size_t block_cells =
    static_cast<std::size_t>(out_block_cells) * static_cast<std::size_t>(out_block_cells);

/// A block as it is written.
struct ToldBlock {
    std::vector<float> share =
        std::vector<float>(block_cells, std::numeric_limits<float>::quiet_NaN());
    std::vector<std::uint16_t> code = std::vector<std::uint16_t>(block_cells, no_data_16);
    std::vector<std::uint16_t> confidence = std::vector<std::uint16_t>(block_cells, no_data_16);
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
    BlockTeller(const ClassWork& work)
        : work_{work}, reader_{work.images, work.grid.analysis, work.plan}
    {}

    /// False where no cell is known.
    bool tell(const ClassBlock& block, ToldBlock& into, ClassTotals& totals)
    {
        const CellRect rect =
            intersection({block.col * out_block_cells, block.row * out_block_cells, out_block_cells,
                          out_block_cells},
                         work_.grid.analysis.grid.extent());
        const WindowFeatures window = reader_.read(rect);
        if (!window.any_known)
            return false;
        const auto cells = static_cast<std::size_t>(rect.cols * rect.rows);
        likelihoods_.resize(cells * work_.model.groups.size());
        std::vector<std::span<const float>> planes(window.planes.begin(), window.planes.end());
        work_.model.trees.apply(planes, likelihoods_);
        count_outside(window, totals);
        for (std::int64_t row = 0; row < rect.rows; ++row)
            for (std::int64_t col = 0; col < rect.cols; ++col) {
                const auto from = static_cast<std::size_t>(row * rect.cols + col);
                if (window.known[from])
                    put(window, from, cells, static_cast<std::size_t>(row * out_block_cells + col),
                        into, totals);
            }
        return true;
    }

private:
    void put(const WindowFeatures& window, std::size_t from, std::size_t cells, std::size_t to,
             ToldBlock& into, ClassTotals& totals)
    {
        ++totals.known_cells;
        if (work_.model.only_trees && window.height && (*window.height)[from] < least_tree_m) {
            into.share[to] = 0;
            into.code[to] = low_code;
            into.confidence[to] = 100;
            ++totals.cells_of_code[low_code];
            return;
        }
        float share = 0, best = -1;
        std::size_t likeliest = 0;
        for (std::size_t k = 0; k < work_.model.groups.size(); ++k) {
            const float p = likelihoods_[k * cells + from];
            share += p * conifer_share_of(work_.model.groups[k]);
            if (p > best) {
                best = p;
                likeliest = k;
            }
        }
        share = work_.model.calibration(share);
        into.share[to] = share < least_written_share ? 0 : share;
        into.code[to] = static_cast<std::uint16_t>(work_.model.groups[likeliest]);
        into.confidence[to] = static_cast<std::uint16_t>(std::lround(best * 100));
        totals.share_sum += into.share[to];
        ++totals.cells_of_code[into.code[to]];
    }

    void count_outside(const WindowFeatures& window, ClassTotals& totals) const
    {
        totals.outside.resize(window.planes.size());
        for (std::size_t k = 0; k < window.planes.size(); ++k) {
            const auto [least, most] = work_.model.ranges[k];
            const float margin = (most - least) * beyond_share;
            for (std::size_t i = 0; i < window.known.size(); ++i)
                if (window.known[i] && !(window.planes[k][i] >= least - margin &&
                                         window.planes[k][i] <= most + margin))
                    ++totals.outside[k];
        }
    }

    const ClassWork& work_;
    FeatureReader reader_;
    std::vector<float> likelihoods_;
};

void paint(const ToldBlock& told, const ClassBlock& block, std::int64_t step, IndexedImage& picture)
{
    const std::int64_t side = out_block_cells / step;
    for (std::int64_t row = 0; row < side; ++row)
        for (std::int64_t col = 0; col < side; ++col) {
            const std::int64_t x = block.col * side + col;
            const std::int64_t y = block.row * side + row;
            if (x >= picture.cols || y >= picture.rows)
                continue;
            double sum = 0, known = 0;
            for (std::int64_t r = row * step; r < (row + 1) * step; ++r)
                for (std::int64_t c = col * step; c < (col + 1) * step; ++c)
                    if (const float share =
                            told.share[static_cast<std::size_t>(r * out_block_cells + c)];
                        !std::isnan(share)) {
                        sum += share;
                        known += 1;
                    }
            if (known > 0)
                picture.pixels[static_cast<std::size_t>(y * picture.cols + x)] =
                    static_cast<std::uint8_t>(std::lround(100 * sum / known));
        }
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
                           const std::string& dates, const AnalysisGrid& analysis, int jobs)
    : fuel{{staging / "fuel.tif",
            RasterOutSpec::Kind::fuel_used,
            {"fuel class", "confidence in per cent"},
            {{"COMMUNITY", community},
             {"IMAGERY_DATE", dates},
             {"CLASSES", "codes of fuel_classes.csv; 65535 unknown"},
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
              {"CAUTION", caution}},
             jobs},
            analysis.grid,
            analysis.crs}
{}

void ClassRasters::finish()
{
    fuel.finish();
    share.finish();
}

ClassTotals classify_blocks(const ClassWork& work, int jobs, ClassRasters& rasters,
                            IndexedImage& picture, const std::function<void()>& on_block)
{
    const std::vector<ClassBlock>& blocks = work.grid.blocks;
    const std::int64_t step = picture_step(work.grid.analysis.grid);
    picture = empty_picture(work.grid.analysis.grid, step);
    std::vector<ClassTotals> parts(blocks.size());
    share_out(blocks.size(), jobs, [&](const auto& next) {
        std::optional<BlockTeller> teller;
        for (std::size_t k = next(); k < blocks.size(); k = next()) {
            if (!teller)
                teller.emplace(work);
            ToldBlock told;
            if (teller->tell(blocks[k], told, parts[k])) {
                rasters.share.put(blocks[k].col, blocks[k].row, told.share);
                rasters.fuel.put(blocks[k].col, blocks[k].row, told.code, told.confidence);
                paint(told, blocks[k], step, picture);
            }
            on_block();
        }
    });
    ClassTotals totals;
    for (const ClassTotals& part : parts)
        add(totals, part);
    return totals;
}

} // namespace fuelring
