// SPDX-License-Identifier: Apache-2.0

// The run's rasters block by block: what share of each cell lies in each part (scatter, the
// transpose of the integral), times the conifers that the run saw there. The same blocks, as a
// plan's, give the bound: cells by falling points per square metre.
#include "run/appraise/project_cells.hpp"

#include "base/program/run_names.hpp"
#include "coverage/scatter.hpp"
#include "io/cog/cog_writer.hpp"
#include "io/cog/run_rasters.hpp"
#include "run/schedule/parallel.hpp"
#include "run/schedule/tiles.hpp"
#include "run/stages/share_out_among.hpp"

#include <fuelring/outline.hpp>

#include <cmath>

namespace fuelring {

namespace {

/// Every cell may be chosen: the zone of a plan without rules.
constexpr plan::ZoneId anywhere_zone = 1;
constexpr int every_ring = 3;
/// Less of a cell than this is what rounding leaves along a border.
constexpr double least_inside = 1e-11;

/// A share in ten-thousandths, as fuel_used.tif has it.
constexpr double per_share = 1e-4;

/// What one worker keeps from block to block.
struct CellWorker {
    CellWorker(const std::filesystem::path& rasters, const Grid& grid)
        : files(rasters / surface_file, rasters / fuel_used_file, grid)
    {}
    RunRasters files;
    std::vector<float> points;
    std::vector<std::uint16_t> share, group;
    std::vector<plan::ZoneId> zone;
    std::vector<std::uint8_t> ring;
    std::vector<std::uint64_t> cover;
};

/// What a block gives.
struct CellsOfBlock {
    std::vector<PartCells> parts;
    plan::Block supply;
};

class BlockReader {
public:
    BlockReader(const StageContext& context, const std::vector<PartShape>& parts)
        : raster_(context.raster), parts_(parts),
          index_(TileIndex::of_reach(context.community, context.raster.grid(), out_block_cells,
                                     context.config.rings.widest_m()))
    {}
    std::size_t blocks() const { return index_.tiles().size(); }

    CellsOfBlock read(std::size_t t, CellWorker& worker) const
    {
        const Grid& grid = raster_.grid();
        const TileIndex::Tile& tile = index_.tiles()[t];
        const CellRect rect = cells_of_tile(tile.row, tile.col, out_block_cells, grid);
        const auto n = static_cast<std::size_t>(rect.rows * rect.cols);
        worker.points.resize(n);
        worker.share.resize(n);
        worker.group.resize(n);
        CellsOfBlock block;
        if (rect.empty() || !worker.files.read(rect, worker.points, worker.share, worker.group))
            return block;
        for (std::uint16_t& share : worker.share)
            share = share == no_data_16 ? std::uint16_t{0} : share;
        const Point middle = grid.corner(rect.col + rect.cols / 2, rect.row + rect.rows / 2);
        const double cell_m2 = grid.cell_area_m2() / raster_.analysis().ground.at(middle).areal();
        for (std::uint32_t p = 0; p < parts_.size(); ++p) {
            PartCells cells = cells_of(p, rect, cell_m2, worker);
            if (!cells.list.empty())
                block.parts.push_back(std::move(cells));
        }
        worker.zone.assign(n, anywhere_zone);
        worker.ring.assign(n, 0);
        block.supply =
            plan::make_block({rect, cell_m2, worker.zone, worker.share, worker.points, worker.ring},
                             cost_per_m2(), cleared());
        return block;
    }

    /// A square metre of conifers costs a square metre.
    static std::vector<double> cost_per_m2() { return {1, 1}; }
    static std::vector<plan::Residual> cleared() { return {{}, {}}; }

private:
    PartCells cells_of(std::uint32_t p, const CellRect& block, double cell_m2,
                       CellWorker& worker) const
    {
        PartCells cells{p, block, {}, {}, 0};
        const CellRect rect = intersection(parts_[p].cells, block);
        if (rect.empty())
            return cells;
        cover(parts_[p], rect, worker.cover);
        std::size_t k = 0;
        for (std::int64_t row = rect.row; row < rect.row + rect.rows; ++row) {
            std::uint64_t sum = 0;
            for (std::int64_t col = rect.col; col < rect.col + rect.cols; ++col, ++k) {
                sum += worker.cover[k];
                const double inside = std::ldexp(
                    static_cast<double>(static_cast<std::int64_t>(sum)), -coverage::fixed_places);
                const auto at =
                    static_cast<std::size_t>((row - block.row) * block.cols + col - block.col);
                if (inside < least_inside || worker.share[at] == 0)
                    continue;
                const double conifer = inside * per_share * worker.share[at];
                cells.list.push_back({static_cast<std::uint16_t>(row - block.row),
                                      static_cast<std::uint16_t>(col - block.col), conifer});
                cells.cells = hull(cells.cells, {col, row, 1, 1});
                if (worker.points[at] > 0) // NaN is not
                    cells.clearable_m2 += conifer * cell_m2;
            }
        }
        return cells;
    }

    /// Shares of cells inside, as differences along rows.
    void cover(const PartShape& part, const CellRect& rect, std::vector<std::uint64_t>& plane) const
    {
        const Grid& grid = raster_.grid();
        const CellFrame frame{part.cells.col, part.cells.row};
        const Point origin{static_cast<double>(frame.col) * grid.cell_width_m(),
                           -static_cast<double>(frame.row) * grid.cell_height_m()};
        Footprint local = part.ground;
        for (Loop& loop : local.loops)
            for (Point& p : loop)
                p = p - origin;
        plane.assign(static_cast<std::size_t>(rect.rows * rect.cols), 0);
        coverage::scatter(outline_of(local), frame, grid,
                          coverage::Int128{1} << coverage::fixed_places, rect, plane);
    }

    const FuelRaster& raster_;
    const std::vector<PartShape>& parts_;
    TileIndex index_;
};

} // namespace

std::vector<PartShape> part_shapes(const std::vector<GroundPart>& parts, const Grid& grid)
{
    std::vector<PartShape> shapes;
    for (const GroundPart& part : parts) {
        PartShape& shape = shapes.emplace_back();
        shape.ground = footprint_of(part.ground);
        if (shape.ground.loops.empty())
            continue;
        shape.box = bounds(shape.ground);
        shape.cells = widened(grid.cells_of({}, shape.box), 1);
    }
    return shapes;
}

ProjectCells::ProjectCells(const StageContext& context, const std::vector<PartShape>& parts,
                           const std::filesystem::path& rasters)
{
    const BlockReader reader{context, parts};
    std::vector<CellsOfBlock> blocks(reader.blocks());
    for_each_in_parallel<CellWorker>(
        context.jobs, blocks.size(),
        [&] {
            return CellWorker{rasters, context.raster.grid()};
        },
        [&](CellWorker& worker, std::size_t t) {
            context.check_cancelled();
            blocks[t] = reader.read(t, worker);
        },
        [](const CellWorker&) {});
    std::vector<plan::Block> supply;
    for (CellsOfBlock& block : blocks) {
        std::move(block.parts.begin(), block.parts.end(), std::back_inserter(cells_));
        if (!block.supply.rect.empty())
            supply.push_back(std::move(block.supply));
    }
    const Grid& grid = context.raster.grid();
    plan::PlanGrid everything{grid.cell_width_m(), grid.cell_height_m(),
                              BlockReader::cost_per_m2()};
    everything.set_blocks(std::move(supply));
    supply_ = std::make_unique<plan::Supply>(
        everything, every_ring, share_out_among(context.jobs, context.check_cancelled));
}

} // namespace fuelring
