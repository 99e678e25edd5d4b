// SPDX-License-Identifier: Apache-2.0

// First every footprint is measured, since what a cell is worth depends on how much of each ring is
// mapped. Then blocks of cells take in every footprint whose rings reach them, each in one go: a
// block's integers do not depend on who adds them or when.
#include "base/parallel_for.hpp"
#include "batch/batch_run.hpp"
#include "geometry/require.hpp"

#include <fuelring/surface.hpp>

#include <algorithm>
#include <limits>
#include <numeric>
#include <utility>

namespace fuelring {

namespace {

using batch::BatchRun;
using batch::CellReader;
using batch::Prepared;

constexpr std::int64_t block_cells = 512;
constexpr float nothing_known = std::numeric_limits<float>::quiet_NaN();

/// A footprint in a block that its rings reach.
struct InBlock {
    std::int64_t row; ///< of the block, in blocks
    std::int64_t col;
    std::size_t feature;

    std::pair<std::int64_t, std::int64_t> block() const { return {row, col}; }
};

class Surface {
public:
    Surface(BatchRun& run, const SurfaceView& view) : run_(run), view_(view)
    {
        const Grid& grid = run.raster().grid;
        require(view.values != nullptr && view.row_stride >= grid.cols(),
                "the surface has a place for each cell of the raster");
        for (std::int64_t row = 0; row < grid.rows(); ++row)
            std::fill_n(row_at(row), grid.cols(), nothing_known);
        const std::size_t count = run.features().size();
        reach_.resize(count);
        points_.resize(count * run.plan().outer_m.size());
    }

    double spread()
    {
        run_.measure([](std::size_t, FeatureStatus) {},
                     [&](const Prepared& p, const StructureMeasure& m) { keep(p, m); });
        const std::vector<InBlock> all = by_block();
        const std::vector<std::span<const InBlock>> blocks = blocks_of(all);
        std::vector<double> sums(blocks.size());
        share_out(blocks.size(), run_.jobs(), [&](const auto& next) {
            CellReader reader{run_.raster(), run_.classes()};
            SurfaceTile tile;
            for (std::size_t b = next(); b < blocks.size(); b = next())
                sums[b] = fill(blocks[b], reader, tile);
        });
        run_.advance(static_cast<std::size_t>(std::count_if(
            reach_.begin(), reach_.end(), [](const CellRect& r) { return r.empty(); })));
        return std::accumulate(sums.begin(), sums.end(), 0.0); // in the order of blocks
    }

private:
    float* row_at(std::int64_t row) const { return view_.values + row * view_.row_stride; }

    void keep(const Prepared& p, const StructureMeasure& m)
    {
        reach_[p.feature] = intersection(p.needed, run_.raster().grid.extent());
        const std::vector<double> points = points_per_m2(m, run_.plan());
        std::copy(points.begin(), points.end(),
                  points_.begin() + static_cast<std::ptrdiff_t>(p.feature * points.size()));
    }

    std::vector<InBlock> by_block() const
    {
        std::vector<InBlock> all;
        for (std::size_t k = 0; k < reach_.size(); ++k) {
            const CellRect& r = reach_[k];
            if (r.empty())
                continue;
            for (auto row = r.row / block_cells; row * block_cells < r.row + r.rows; ++row)
                for (auto col = r.col / block_cells; col * block_cells < r.col + r.cols; ++col)
                    all.push_back({row, col, k});
        }
        std::sort(all.begin(), all.end(), [](const InBlock& a, const InBlock& b) {
            return std::pair{a.block(), a.feature} < std::pair{b.block(), b.feature};
        });
        return all;
    }

    static std::vector<std::span<const InBlock>> blocks_of(const std::vector<InBlock>& all)
    {
        std::vector<std::span<const InBlock>> blocks;
        for (std::size_t first = 0, last = 0; first < all.size(); first = last) {
            while (last < all.size() && all[last].block() == all[first].block())
                ++last;
            blocks.emplace_back(all.data() + first, last - first);
        }
        return blocks;
    }

    double fill(std::span<const InBlock> members, CellReader& reader, SurfaceTile& tile)
    {
        const Grid& grid = run_.raster().grid;
        const CellRect rect =
            intersection({members.front().col * block_cells, members.front().row * block_cells,
                          block_cells, block_cells},
                         grid.extent());
        const std::size_t rings = run_.plan().outer_m.size();
        tile.begin(rect);
        for (const InBlock& member : members) {
            run_.stop_if_asked();
            Prepared p;
            (void)run_.prepare(member.feature, p); // it had figures before
            tile.add(p.outlines, p.frame, grid.at_scale(p.scale),
                     std::span{points_}.subspan(member.feature * rings, rings));
        }
        tile.finish();
        std::vector<ClassIndex> cells;
        reader.read(rect, cells);
        const double sum = put(tile, cells);
        run_.advance(ended_in(members));
        return sum;
    }

    /// Footprints of which this is the last block.
    std::size_t ended_in(std::span<const InBlock> members) const
    {
        return static_cast<std::size_t>(
            std::count_if(members.begin(), members.end(), [&](const InBlock& member) {
                const CellRect& r = reach_[member.feature];
                return member.row == (r.row + r.rows - 1) / block_cells &&
                       member.col == (r.col + r.cols - 1) / block_cells;
            }));
    }

    double put(const SurfaceTile& tile, const std::vector<ClassIndex>& cells) const
    {
        const CellRect& rect = tile.rect();
        const CellRect& touched = tile.touched();
        double sum = 0;
        for (std::int64_t row = touched.row; row < touched.row + touched.rows; ++row)
            for (std::int64_t col = touched.col; col < touched.col + touched.cols; ++col) {
                const FuelClass& fuel = run_.classes()[cells[static_cast<std::size_t>(
                    (row - rect.row) * rect.cols + col - rect.col)]];
                if (fuel.group == FuelGroup::unmapped || !tile.ring_reaches(row, col))
                    continue;
                const double points =
                    tile.points(row, col) * (static_cast<double>(fuel.conifer_share) / whole_share);
                row_at(row)[col] = static_cast<float>(points);
                sum += points;
            }
        return sum;
    }

    BatchRun& run_;
    const SurfaceView& view_;
    std::vector<CellRect> reach_; ///< by feature, on the raster; empty without figures
    std::vector<double> points_;  ///< by feature and ring
};

} // namespace

double priority_surface(const FootprintsView& footprints, const RasterView& raster,
                        const FuelClassTable& classes, const RingPlan& plan,
                        const SurfaceView& surface, const BatchOptions& options)
{
    BatchRun run{footprints, raster, classes, plan, options, 2};
    return Surface{run, surface}.spread();
}

} // namespace fuelring
