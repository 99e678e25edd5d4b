// SPDX-License-Identifier: Apache-2.0

// The ground of a plan, block by block of the run's rasters: what clearing each conifer cell saves,
// which ring reaches it first, whose it is, and what no unit may enter.
#include "run/treat/treat_ground.hpp"

#include "base/program/run_names.hpp"
#include "io/cog/cog_writer.hpp"
#include "io/cog/run_rasters.hpp"
#include "io/community/owner_class.hpp"
#include "io/vector/named_outlines.hpp"
#include "io/vector/touched_cells.hpp"
#include "run/inputs/majority.hpp"
#include "run/schedule/parallel.hpp"
#include "run/schedule/tiles.hpp"

#include <fuelring/error.hpp>
#include <fuelring/surface.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <memory>
#include <set>

namespace fuelring {

namespace {

constexpr std::size_t rings_told_apart = 3;

static_assert(out_block_cells == plan::block_cells);

/// The zones of a run: every class of owners in every neighbourhood.
class Zones {
public:
    Zones(const InputSettings& sources, const TreatmentSettings& settings, const Inputs& inputs)
        : owners_(owners(sources.parcels, inputs)),
          neighbourhoods_(neighbourhoods(sources.neighbourhoods, inputs))
    {
        const std::size_t count =
            (owners_.names().size() + 1) * (neighbourhoods_.names().size() + 1);
        if (count >= UINT16_MAX)
            throw Error{
                Failure::input,
                fmt::format("{} pairs of owner class and neighbourhood are too many", count),
                "treat", "merge neighbourhoods for the plan"};
        zones.emplace_back();
        for (std::size_t o = 0; o <= owners_.names().size(); ++o)
            for (std::size_t n = 0; n <= neighbourhoods_.names().size(); ++n) {
                TreatZone zone;
                if (o < owners_.names().size())
                    zone.owner = owners_.names()[o];
                else if (!owners_.names().empty())
                    zone.owner = "no_parcel";
                if (n < neighbourhoods_.names().size())
                    zone.neighbourhood = neighbourhoods_.names()[n];
                else if (!neighbourhoods_.names().empty())
                    zone.neighbourhood = "(outside)";
                if (settings.has_costs()) {
                    const TreatmentCost& cost = settings.cost_of(zone.owner);
                    zone.method = cost.method;
                    zone.money_per_m2 = cost.per_ha / 10'000;
                }
                zones.push_back(std::move(zone));
            }
    }

    /// What one worker needs.
    struct Planes {
        Majority::Planes majority;
        std::vector<std::uint16_t> owner, neighbourhood;
    };
    void of_cells(const CellRect& rect, Planes& planes, std::span<plan::ZoneId> zone) const
    {
        planes.owner.resize(zone.size());
        planes.neighbourhood.resize(zone.size());
        owners_.of_cells(rect, planes.majority, planes.owner);
        neighbourhoods_.of_cells(rect, planes.majority, planes.neighbourhood);
        const std::size_t width = neighbourhoods_.names().size() + 1;
        for (std::size_t k = 0; k < zone.size(); ++k)
            zone[k] =
                static_cast<plan::ZoneId>(1 + planes.owner[k] * width + planes.neighbourhood[k]);
    }

    std::vector<TreatZone> zones; ///< by number

private:
    static Majority owners(const std::optional<ParcelSource>& parcels, const Inputs& inputs);
    static Majority neighbourhoods(const std::optional<NeighbourhoodSource>& layer,
                                   const Inputs& inputs)
    {
        const Grid& grid = inputs.raster->grid();
        if (!layer)
            return {{}, {}, grid};
        const auto outlines = read_named_outlines("inputs.neighbourhoods", *layer,
                                                  {layer->name, "name"}, inputs.raster->analysis(),
                                                  [](const std::string& name) { return name; });
        return {outlines, inputs.community.neighbourhoods, grid};
    }

    Majority owners_;
    Majority neighbourhoods_;
};

Majority Zones::owners(const std::optional<ParcelSource>& parcels, const Inputs& inputs)
{
    const Grid& grid = inputs.raster->grid();
    if (!parcels)
        return {{}, {}, grid};
    std::set<std::string> private_owners;
    for (const std::string& name : parcels->private_owners)
        private_owners.insert(owner_class(name));
    const auto outlines = read_named_outlines(
        "inputs.parcels", *parcels, {parcels->owner, "owner"}, inputs.raster->analysis(),
        [&](const std::string& text) {
            std::string owner = owner_class(text);
            return private_owners.contains(owner) ? std::string{private_owner} : owner;
        });
    std::set<std::string> classes;
    for (const NamedOutline& outline : outlines)
        classes.insert(outline.name);
    return {outlines, {classes.begin(), classes.end()}, grid};
}

/// Which rings and which roofs reach the cells of a block.
class Reach {
public:
    Reach(const RingPlan& plan, const Inputs& inputs)
        : plan_(plan), inputs_(inputs), rings_(std::min(rings_told_apart, plan.outer_m.size()))
    {}

    void begin(const CellRect& rect)
    {
        roofs_.begin(rect);
        for (std::size_t r = 0; r < rings_; ++r)
            within_[r].begin(rect);
    }
    void add(const Structure& s)
    {
        const Grid grid = inputs_.raster->grid().at_scale(s.map_scale);
        RingPlan near = plan_;
        near.outer_m.resize(rings_);
        near.weight.resize(rings_);
        RingOutlines outlines = ring_outlines(s.footprint, near, s.stretch);
        // From the widest ring inwards, each time without the outermost: one set of outlines
        // serves.
        for (std::size_t r = rings_; r > 0; --r) {
            const std::vector<double> points(r, 1 / grid.cell_area_m2());
            within_[r - 1].add(outlines, s.frame, grid, points);
            outlines.within.pop_back();
        }
        roofs_.add(outlines, s.frame, grid, {});
    }
    void finish()
    {
        roofs_.finish();
        for (std::size_t r = 0; r < rings_; ++r)
            within_[r].finish();
    }
    bool roof(std::int64_t row, std::int64_t col) const { return roofs_.reached(row, col); }
    std::uint8_t ring(std::int64_t row, std::int64_t col) const
    {
        std::size_t r = 0;
        while (r < rings_ && !within_[r].ring_reaches(row, col))
            ++r;
        return static_cast<std::uint8_t>(r);
    }

private:
    const RingPlan& plan_;
    const Inputs& inputs_;
    std::size_t rings_;
    SurfaceTile roofs_;
    std::array<SurfaceTile, rings_told_apart> within_;
};

/// A layer of [treat], where it is configured.
std::unique_ptr<TouchedCells> touched(const std::optional<LayerSource>& layer, const char* key,
                                      const Inputs& inputs)
{
    return layer ? std::make_unique<TouchedCells>(key, *layer, inputs.raster->analysis()) : nullptr;
}

/// What one worker keeps from block to block.
struct GroundWorker {
    GroundWorker(const RingPlan& rings, const Inputs& inputs, const std::filesystem::path& rasters)
        : files(rasters / surface_file, rasters / fuel_used_file, inputs.raster->grid()),
          reach(rings, inputs)
    {}
    RunRasters files;
    Reach reach;
    Zones::Planes planes;
    std::vector<float> points;
    std::vector<std::uint16_t> share, group;
    std::vector<plan::ZoneId> zone;
    std::vector<std::uint8_t> ring, shut;
    std::int64_t conifer_cells = 0;
    std::int64_t cells_kept_out = 0;
};

class GroundReader {
public:
    GroundReader(const TreatmentSettings& settings, const RingPlan& rings, const Inputs& inputs,
                 const Zones& zones)
        : residual_{settings.residual_share}, inputs_(inputs), zones_(zones),
          keep_out_(touched(settings.keep_out, "treat.keep_out", inputs)),
          barriers_(touched(settings.barriers, "treat.barriers", inputs)),
          index_(TileIndex::of_reach(inputs.community, inputs.raster->grid(), out_block_cells,
                                     rings.widest_m()))
    {
        for (const TreatZone& zone : zones.zones) {
            // A budget of hectares is spent as if every square metre cost 1.
            cost_per_m2_.push_back(settings.money ? zone.money_per_m2 : 1);
            money_per_m2_.push_back(zone.money_per_m2);
        }
        const GroundScale& ground = inputs.raster->analysis().ground;
        for (const TileIndex::Tile& tile : index_.tiles())
            cell_m2_.push_back(inputs.raster->grid().cell_area_m2() /
                               ground.at(middle_of(rect_of(tile))).areal());
    }

    std::vector<LayerCrs> layers() const
    {
        std::vector<LayerCrs> layers;
        for (const auto* cells : {&keep_out_, &barriers_})
            if (*cells)
                layers.push_back((*cells)->layer_crs());
        return layers;
    }
    std::size_t tiles() const { return index_.tiles().size(); }
    /// By zone, in units of the budget.
    const std::vector<double>& cost_per_m2() const { return cost_per_m2_; }
    const std::vector<double>& money_per_m2() const { return money_per_m2_; }

    /// A block that no ring reaches is empty.
    plan::Block read(std::size_t t, GroundWorker& worker) const
    {
        const TileIndex::Tile& tile = index_.tiles()[t];
        const CellRect rect = rect_of(tile);
        const auto n = static_cast<std::size_t>(rect.rows * rect.cols);
        worker.points.resize(n);
        worker.share.resize(n);
        worker.group.resize(n);
        if (!worker.files.read(rect, worker.points, worker.share, worker.group))
            return {};
        worker.zone.resize(n);
        zones_.of_cells(rect, worker.planes, worker.zone);
        worker.shut.assign(n, 0);
        if (keep_out_)
            keep_out_->mark(rect, worker.shut);
        if (barriers_)
            barriers_->mark(rect, worker.shut);
        worker.reach.begin(rect);
        for (const std::uint32_t s : index_.structures(tile))
            worker.reach.add(inputs_.community.structures[s]);
        worker.reach.finish();
        judge_cells(rect, worker);
        return plan::make_block(
            {rect, cell_m2_[t], worker.zone, worker.share, worker.points, worker.ring},
            cost_per_m2_, residual_);
    }

private:
    CellRect rect_of(const TileIndex::Tile& tile) const
    {
        return cells_of_tile(tile.row, tile.col, out_block_cells, inputs_.raster->grid());
    }
    Point middle_of(const CellRect& rect) const
    {
        return inputs_.raster->grid().corner(rect.col + rect.cols / 2, rect.row + rect.rows / 2);
    }

    static void judge_cells(const CellRect& rect, GroundWorker& worker)
    {
        worker.ring.resize(worker.zone.size());
        std::size_t k = 0;
        for (std::int64_t row = rect.row; row < rect.row + rect.rows; ++row)
            for (std::int64_t col = rect.col; col < rect.col + rect.cols; ++col, ++k) {
                const auto group = static_cast<FuelGroup>(worker.group[k]);
                if (worker.share[k] == no_data_16)
                    worker.share[k] = 0;
                const bool conifers = worker.share[k] > 0;
                worker.conifer_cells += conifers ? 1 : 0;
                worker.cells_kept_out += conifers && worker.shut[k] != 0 ? 1 : 0;
                if (worker.shut[k] != 0 || worker.group[k] == no_data_16 ||
                    group == FuelGroup::unmapped || group == FuelGroup::built ||
                    group == FuelGroup::water || (!conifers && worker.reach.roof(row, col)))
                    worker.zone[k] = plan::no_zone;
                worker.ring[k] = conifers ? worker.reach.ring(row, col) : std::uint8_t{0};
            }
    }

    plan::Residual residual_;
    const Inputs& inputs_;
    const Zones& zones_;
    std::unique_ptr<TouchedCells> keep_out_, barriers_;
    TileIndex index_;
    std::vector<double> cost_per_m2_, money_per_m2_;
    std::vector<double> cell_m2_; ///< by tile
};

} // namespace

TreatGround read_ground(const InputSettings& sources, const TreatmentSettings& settings,
                        const RingPlan& rings, const Inputs& inputs,
                        const std::filesystem::path& rasters, int jobs,
                        const std::function<void()>& check_cancelled)
{
    const Zones zones{sources, settings, inputs};
    const GroundReader reader{settings, rings, inputs, zones};
    const Grid grid = inputs.raster->grid().at_scale(inputs.community.structures.front().map_scale);
    TreatGround ground{
        {grid.cell_width_m(), grid.cell_height_m(), reader.cost_per_m2(), reader.money_per_m2()},
        zones.zones,
        0,
        0,
        reader.layers()};
    std::vector<plan::Block> blocks(reader.tiles());
    for_each_in_parallel<GroundWorker>(
        jobs, blocks.size(),
        [&] {
            return GroundWorker{rings, inputs, rasters};
        },
        [&](GroundWorker& worker, std::size_t t) {
            check_cancelled();
            blocks[t] = reader.read(t, worker);
        },
        [&](const GroundWorker& worker) {
            ground.conifer_cells += worker.conifer_cells;
            ground.cells_kept_out += worker.cells_kept_out;
        });
    std::erase_if(blocks, [](const plan::Block& block) { return block.rect.empty(); });
    ground.grid.set_blocks(std::move(blocks));
    return ground;
}

} // namespace fuelring
