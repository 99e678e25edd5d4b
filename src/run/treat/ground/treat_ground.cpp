// SPDX-License-Identifier: Apache-2.0

// The ground of a plan, put together from the blocks that workers read.
#include "run/treat/ground/treat_ground.hpp"

#include "run/schedule/parallel.hpp"
#include "run/treat/ground/ground_reader.hpp"

#include <algorithm>
#include <utility>

namespace fuelring {

std::vector<TreatedRun> TreatGround::treated(std::uint32_t number, const plan::Unit& unit) const
{
    const plan::Residual residual = zones[unit.zone].residual;
    std::vector<TreatedRun> runs;
    for (std::uint32_t k = unit.strip.first; k < unit.strip.end; ++k)
        for (const CellPart& part : slice_parts[unit.strip.line][k])
            runs.push_back({{part.row, part.col, 1}, number, {part.hundredths, residual}});
    if (unit.strip.is_strip())
        return runs;
    if (unit.required > 0) {
        for (const CellPart& part : required[unit.required - 1].parts)
            runs.push_back({{part.row, part.col, 1}, number, {part.hundredths, residual}});
        return runs;
    }
    for (const plan::CellRun& run : unit.treated) {
        plan::CellRun whole{run.row, run.col, 0};
        auto part = std::lower_bound(parts.begin(), parts.end(), std::pair{run.row, run.col},
                                     [](const CellPart& p, const auto& at) {
                                         return std::pair{p.row, p.col} < at;
                                     });
        for (; part != parts.end() && part->row == run.row && part->col < run.end(); ++part) {
            whole.cols = part->col - whole.col;
            if (whole.cols > 0)
                runs.push_back({whole, number, {all_hundredths, residual}});
            runs.push_back({{run.row, part->col, 1}, number, {part->hundredths, residual}});
            whole.col = part->col + 1;
        }
        whole.cols = run.end() - whole.col;
        if (whole.cols > 0)
            runs.push_back({whole, number, {all_hundredths, residual}});
    }
    return runs;
}

namespace {

/// Without parcels that hold less than a unit has to. `ids`: by line.
StripLayout lay_parcels(std::vector<RequiredUnit> units, const TreatAreas& areas,
                        const TreatmentSettings& settings, std::vector<std::string>& ids)
{
    std::erase_if(units, [&](const RequiredUnit& unit) {
        return unit.unit.conifer_m2() < settings.smallest_m2;
    });
    for (const RequiredUnit& unit : units)
        ids.push_back(areas.parcels[unit.area].id);
    return lay_blocks(std::move(units));
}

} // namespace

TreatGround read_ground(const InputSettings& sources, const TreatmentSettings& settings,
                        const RingPlan& rings, const Inputs& inputs,
                        const std::filesystem::path& rasters, int jobs,
                        const std::function<void()>& check_cancelled)
{
    const TreatZones zones{sources, settings, inputs};
    const TreatAreas areas = read_treat_areas(sources, settings, inputs.raster->analysis());
    const MethodGround methods{sources.roads, settings, inputs};
    const GroundReader reader{settings, rings, inputs, zones, areas};
    const Grid grid = inputs.raster->grid().at_scale(inputs.community.structures.front().map_scale);
    TreatGround ground{
        {grid.cell_width_m(), grid.cell_height_m(), reader.cost_per_m2(), reader.money_per_m2()},
        zones.all(),
        0,
        0,
        0,
        reader.layers()};
    std::vector<GroundBlock> read(reader.tiles());
    for_each_in_parallel<GroundWorker>(
        jobs, read.size(),
        [&] {
            return GroundWorker{rings, inputs, rasters, methods};
        },
        [&](GroundWorker& worker, std::size_t t) {
            check_cancelled();
            read[t] = reader.read(t, worker);
        },
        [&](const GroundWorker& worker) {
            ground.conifer_cells += worker.conifer_cells;
            ground.cells_kept_out += worker.cells_kept_out;
            ground.cells_without_method += worker.cells_without_method;
        });
    std::vector<plan::Block> blocks;
    RequiredUnits required;
    RequiredUnits slices;
    for (GroundBlock& block : read) {
        if (block.block.rect.empty())
            continue;
        blocks.push_back(std::move(block.block));
        required.add(block.required);
        slices.add(block.slices);
        ground.parts.insert(ground.parts.end(), block.parts.begin(), block.parts.end());
    }
    ground.grid.set_blocks(std::move(blocks));
    sort_by_place(ground.parts);
    ground.required = required.take();
    StripLayout strips = settings.parcel_blocks
                             ? lay_parcels(slices.take(), areas, settings, ground.parcels)
                             : lay_strips(areas.strips, slices.take(), settings.gap_m);
    ground.strips = std::move(strips.lines);
    ground.slice_parts = std::move(strips.parts);
    return ground;
}

} // namespace fuelring
