// SPDX-License-Identifier: Apache-2.0

// Measuring: tiles in parallel, a bounded number in flight (one per worker). A tile reads one
// window of classes that holds the widest rings of its structures. Inside it, structures that
// stand close together share one window of running sums, small enough for the cache.
// Every figure of a structure comes from its own frame and from sums of integers, so neither the
// tile nor the group it falls into changes a bit of it.

#include "run/parallel.hpp"
#include "run/stages.hpp"
#include "run/tiles.hpp"

#include <algorithm>
#include <span>

namespace fuelring {

namespace {

/// Structures whose frames fall into the same square of this many cells share a window of sums.
constexpr std::int64_t group_cells = 128;

/// What one worker keeps from tile to tile.
struct Worker {
    explicit Worker(const FuelRaster& raster) : reader(raster) {}
    FuelRaster::Reader reader;
    std::vector<ClassIndex> cells;
    WorkTimes times;
};

class TileTask {
public:
    TileTask(const StageContext& context, std::span<const FuelSum> contribution, Worker& worker,
             std::vector<StructureMeasure>& results)
        : context_(context), contribution_(contribution), worker_(worker), results_(results)
    {}

    void run(std::span<const std::uint32_t> structures)
    {
        CellRect window;
        for (const std::uint32_t i : structures)
            window = hull(window, reach(i));
        {
            const Stopwatch watch{worker_.times.read_s};
            worker_.cells.resize(static_cast<std::size_t>(window.rows * window.cols));
            worker_.reader.read(window, worker_.cells);
        }
        std::vector<std::uint32_t> order{structures.begin(), structures.end()};
        const auto key = [&](std::uint32_t i) {
            const CellFrame& f = context_.community.structures[i].frame;
            return std::pair{(f.row - window.row) / group_cells,
                             (f.col - window.col) / group_cells};
        };
        std::stable_sort(order.begin(), order.end(),
                         [&](std::uint32_t a, std::uint32_t b) { return key(a) < key(b); });
        for (auto first = order.begin(); first != order.end();) {
            const auto last = std::find_if(first, order.end(),
                                           [&](std::uint32_t i) { return key(i) != key(*first); });
            measure_group(window, std::span<const std::uint32_t>{first, last});
            first = last;
        }
    }

private:
    CellRect reach(std::uint32_t i) const
    {
        return reach_of(context_.community.structures[i], context_.raster.grid(),
                        context_.config.rings.widest_m());
    }

    void measure_group(const CellRect& window, std::span<const std::uint32_t> group)
    {
        CellRect rect;
        for (const std::uint32_t i : group)
            rect = hull(rect, reach(i));
        const auto stride = static_cast<std::size_t>(window.cols);
        const auto skip = static_cast<std::size_t>(rect.row - window.row) * stride +
                          static_cast<std::size_t>(rect.col - window.col);
        const Stopwatch prefix{worker_.times.prefix_s};
        const FuelWindow fuel{rect, std::span{worker_.cells}.subspan(skip), stride, contribution_};
        prefix.stop();
        for (const std::uint32_t i : group) {
            const Structure& s = context_.community.structures[i];
            const RingPlan& plan = context_.config.rings;
            const Stopwatch outline{worker_.times.outlines_s};
            const RingOutlines outlines = ring_outlines(s.footprint, plan, s.stretch);
            outline.stop();
            const Stopwatch walk{worker_.times.walk_s};
            const Grid& grid = context_.raster.grid();
            const Grid ground = grid.at_scale(s.map_scale);
            const auto& owners = context_.community.owners;
            results_[i] = owners ? measure_by_owner(s.footprint, outlines, s.frame, ground, fuel,
                                                    plan, {s.frame, s.map_scale, grid}, *owners)
                                 : measure(s.footprint, outlines, s.frame, ground, fuel, plan);
        }
    }

    const StageContext& context_;
    std::span<const FuelSum> contribution_;
    Worker& worker_;
    std::vector<StructureMeasure>& results_;
};

} // namespace

WorkTimes& WorkTimes::operator+=(const WorkTimes& other)
{
    read_s += other.read_s;
    prefix_s += other.prefix_s;
    outlines_s += other.outlines_s;
    walk_s += other.walk_s;
    transpose_s += other.transpose_s;
    union_s += other.union_s;
    union_read_s += other.union_read_s;
    write_s += other.write_s;
    return *this;
}

std::int64_t work_units(const Community& community)
{
    return 3 * static_cast<std::int64_t>(community.structures.size());
}

std::vector<StructureMeasure> measure_structures(const StageContext& context, WorkTimes& times)
{
    const TileIndex index = TileIndex::of_owners(context.community, context.tile_cells);
    const std::vector<FuelSum> contribution = contributions(context.raster.classes());
    std::vector<StructureMeasure> results(context.community.structures.size());
    for_each_in_parallel<Worker>(
        context.jobs, index.tiles().size(), [&] { return Worker{context.raster}; },
        [&](Worker& worker, std::size_t t) {
            context.check_cancelled();
            const auto structures = index.structures(index.tiles()[t]);
            TileTask{context, contribution, worker, results}.run(structures);
            context.progress.advance(static_cast<std::int64_t>(structures.size()));
        },
        [&](const Worker& worker) { times += worker.times; });
    return results;
}

} // namespace fuelring
