// SPDX-License-Identifier: Apache-2.0

// What clearing each conifer cell of a block saves, which ring reaches it first, whose it is, what
// no unit may enter, and what has to be treated. What areas cover of a cell is counted in
// hundredths, rounded so that nothing closed is treated.
#include "run/treat/ground/ground_reader.hpp"

#include "base/program/run_names.hpp"
#include "io/cog/cog_writer.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace fuelring {

namespace {

static_assert(out_block_cells == plan::block_cells);

/// Rounded down, but for the last bits of a product.
std::uint8_t in_hundredths(double share)
{
    return static_cast<std::uint8_t>(std::floor(all_hundredths * share + 1e-6));
}

/// A layer of [treat], where it is configured.
std::unique_ptr<TouchedCells> touched(const std::optional<LayerSource>& layer, const char* key,
                                      const Inputs& inputs)
{
    return layer ? std::make_unique<TouchedCells>(key, *layer, inputs.raster->analysis()) : nullptr;
}

void judge_cells(const CellRect& rect, GroundWorker& worker)
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

std::size_t place(const CellRect& rect, std::int64_t row, std::int64_t col)
{
    return static_cast<std::size_t>((row - rect.row) * rect.cols + col - rect.col);
}

/// Of cells that may be chosen in part only.
std::vector<CellPart> parts_of(const CellRect& rect, const GroundWorker& worker)
{
    std::vector<CellPart> parts;
    for (std::size_t k = 0; k < worker.zone.size(); ++k)
        if (worker.hundredths[k] < all_hundredths && worker.share[k] > 0 &&
            worker.zone[k] != plan::no_zone) {
            const auto at = static_cast<std::int64_t>(k);
            parts.push_back(
                {rect.row + at / rect.cols, rect.col + at % rect.cols, worker.hundredths[k]});
        }
    return parts;
}

} // namespace

GroundWorker::GroundWorker(const RingPlan& rings, const Inputs& inputs,
                           const std::filesystem::path& rasters, const MethodGround& ground)
    : files(rasters / surface_file, rasters / fuel_used_file, inputs.raster->grid()),
      reach(rings, inputs), methods(ground)
{}

GroundReader::GroundReader(const TreatmentSettings& settings, const RingPlan& rings,
                           const Inputs& inputs, const TreatZones& zones, const TreatAreas& areas)
    : inputs_(inputs), zones_(zones), areas_(areas), by_ground_(settings.has_method_limits()),
      keep_out_(settings.keep_out_by_cover ? nullptr
                                           : touched(settings.keep_out, "treat.keep_out", inputs)),
      barriers_(touched(settings.barriers, "treat.barriers", inputs)),
      index_(TileIndex::of_reach(inputs.community, inputs.raster->grid(), out_block_cells,
                                 rings.widest_m()))
{
    for (const TreatZone& zone : zones.all()) {
        residual_.push_back(zone.residual);
        // A budget of hectares is spent as if every square metre cost 1.
        cost_per_m2_.push_back(settings.money ? zone.money_per_m2 : 1);
        money_per_m2_.push_back(zone.money_per_m2);
    }
    const GroundScale& ground = inputs.raster->analysis().ground;
    for (const TileIndex::Tile& tile : index_.tiles())
        cell_m2_.push_back(inputs.raster->grid().cell_area_m2() /
                           ground.at(middle_of(rect_of(tile))).areal());
}

std::vector<LayerCrs> GroundReader::layers() const
{
    std::vector<LayerCrs> layers = areas_.layers;
    for (const auto* cells : {&keep_out_, &barriers_})
        if (*cells)
            layers.push_back((*cells)->layer_crs());
    return layers;
}

GroundBlock GroundReader::read(std::size_t t, GroundWorker& worker) const
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
    choose_methods(rect, worker);
    GroundBlock ground;
    if (!areas_.closed.empty() || !areas_.required.empty() || !areas_.slices.empty()) {
        worker.hundredths.assign(n, all_hundredths);
        close(rect, worker);
        add_cells(areas_.required, rect, t, worker, ground.required);
        ground.parts = parts_of(rect, worker);
        // What strips hold of a cell can be chosen in patches as well: bounds are of both.
        const std::vector<std::uint8_t> left = worker.hundredths;
        add_cells(areas_.slices, rect, t, worker, ground.slices);
        std::erase_if(ground.slices, [&](const RequiredCell& c) { return !is_of_parcel(c); });
        worker.hundredths = left;
    }
    ground.block = plan::make_block({rect, cell_m2_[t], worker.zone, worker.share, worker.points,
                                     worker.ring, worker.hundredths},
                                    cost_per_m2_, residual_);
    return ground;
}

CellRect GroundReader::rect_of(const TileIndex::Tile& tile) const
{
    return cells_of_tile(tile.row, tile.col, out_block_cells, inputs_.raster->grid());
}
Point GroundReader::middle_of(const CellRect& rect) const
{
    return inputs_.raster->grid().corner(rect.col + rect.cols / 2, rect.row + rect.rows / 2);
}

void GroundReader::choose_methods(const CellRect& rect, GroundWorker& worker) const
{
    if (!by_ground_)
        return;
    const auto conifers_in_zones = [&] {
        std::int64_t count = 0;
        for (std::size_t k = 0; k < worker.zone.size(); ++k)
            count += worker.share[k] > 0 && worker.zone[k] != plan::no_zone ? 1 : 0;
        return count;
    };
    const std::int64_t before = conifers_in_zones();
    worker.methods.begin(rect);
    zones_.choose_methods(worker.methods, worker.zone);
    worker.cells_without_method += before - conifers_in_zones();
}

/// Takes closed land off what may be treated. No unit enters what is closed altogether, nor
/// bridges open ground that is closed in part.
void GroundReader::close(const CellRect& rect, GroundWorker& worker) const
{
    worker.closed.assign(worker.zone.size(), 0);
    areas_.closed.cells(rect, worker.cover,
                        [&](std::uint32_t, std::int64_t row, std::int64_t col, double share) {
                            worker.closed[place(rect, row, col)] += share;
                        });
    for (std::size_t k = 0; k < worker.zone.size(); ++k) {
        if (worker.closed[k] == 0)
            continue;
        const bool conifers = worker.share[k] > 0;
        worker.cells_kept_out += conifers && worker.shut[k] == 0 ? 1 : 0;
        worker.hundredths[k] = in_hundredths(std::max(0.0, 1 - worker.closed[k]));
        if (worker.hundredths[k] == 0 || !conifers)
            worker.zone[k] = plan::no_zone;
    }
}

/// Takes what areas hold off what may be treated.
void GroundReader::add_cells(const AreaCover& areas, const CellRect& rect, std::size_t t,
                             GroundWorker& worker, std::vector<RequiredCell>& cells) const
{
    areas.cells(rect, worker.cover,
                [&](std::uint32_t area, std::int64_t row, std::int64_t col, double share) {
                    const std::size_t k = place(rect, row, col);
                    const std::uint8_t part = std::min(in_hundredths(share), worker.hundredths[k]);
                    if (worker.zone[k] == plan::no_zone || worker.share[k] == 0 || part == 0)
                        return;
                    worker.hundredths[k] = static_cast<std::uint8_t>(worker.hundredths[k] - part);
                    cells.push_back(required_cell(area, {row, col, part}, t, k, worker));
                });
}

/// Of a parcel, what lowers some exposure and is of its owner's class counts; all of a strip.
bool GroundReader::is_of_parcel(const RequiredCell& cell) const
{
    return areas_.parcels.empty() || (cell.points > 0 && zones_.all()[cell.unit.second].owner ==
                                                             areas_.parcels[cell.unit.first].owner);
}

RequiredCell GroundReader::required_cell(std::uint32_t area, const CellPart& part, std::size_t t,
                                         std::size_t k, const GroundWorker& worker) const
{
    const plan::ZoneId zone = worker.zone[k];
    const std::uint16_t share = plan::share_of_part(worker.share[k], part.hundredths);
    const std::int32_t removed = share - residual_[zone].of(share);
    const double points = worker.points[k] > 0 // NaN is not
                              ? static_cast<double>(worker.points[k]) * removed / worker.share[k]
                              : 0;
    const std::int64_t cell_area = plan::cell_area_of(cell_m2_[t]);
    return {
        {area, zone}, part, share * cell_area, std::llrint(points / plan::points_unit), cell_area};
}

} // namespace fuelring
