// SPDX-License-Identifier: Apache-2.0

// One window of classes holds all structures of a tile. Inside it, those whose frames fall into the
// same small square share one window of running sums. Sums are integers, so neither the tile nor
// the square changes a bit of what is integrated over them.

#include "run/stages/tile_fuel.hpp"

#include "run/schedule/parallel.hpp"
#include "run/schedule/tiles.hpp"
#include "run/stages/treated_fuel.hpp"

#include <numeric>

namespace fuelring {

FuelWindow sums_of(const CellRect& rect, const CellRect& window, std::span<const ClassIndex> cells,
                   std::span<const FuelSum> contribution)
{
    const auto stride = static_cast<std::size_t>(window.cols);
    const auto skip = static_cast<std::size_t>(rect.row - window.row) * stride +
                      static_cast<std::size_t>(rect.col - window.col);
    return FuelWindow{rect, cells.subspan(skip), stride, contribution};
}

TileFuel::TileFuel(const StageContext& context, double beyond_m, const FuelVariant* variant)
    : context_(&context), beyond_m_(beyond_m), variant_(variant), reader_(context.raster),
      contribution_(variant ? variant->contributions : contributions(context.raster.classes()))
{}

CellRect TileFuel::reach_of_all(std::span<const std::uint32_t> structures) const
{
    CellRect all;
    for (const std::uint32_t i : structures)
        all = hull(all, reach_of(context_->community.structures[i], context_->raster.grid(),
                                 context_->config.rings.widest_m(), beyond_m_));
    return all;
}

CellRect TileFuel::read(std::span<const std::uint32_t> structures)
{
    const CellRect window = reach_of_all(structures);
    cells_.resize(static_cast<std::size_t>(window.rows * window.cols));
    reader_.read(window, cells_);
    if (variant_ && variant_->apply)
        variant_->apply(window, cells_);
    return window;
}

void TileFuel::for_each_group_of(
    std::span<const std::uint32_t> structures, const CellRect& window,
    const std::function<void(const CellRect&, std::span<const std::size_t>)>& visit) const
{
    std::vector<std::size_t> order(structures.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    const auto frame_of = [&](std::size_t k) -> const CellFrame& {
        return context_->community.structures[structures[k]].frame;
    };
    std::vector<std::uint32_t> members;
    for_each_group(order, window, frame_of, [&](std::span<const std::size_t> group) {
        members.clear();
        for (const std::size_t k : group)
            members.push_back(structures[k]);
        visit(reach_of_all(members), group);
    });
}

void TileFuel::for_each(std::span<const std::uint32_t> structures, double& read_s, double& sums_s,
                        const std::function<void(std::size_t, const FuelWindow&)>& visit)
{
    const Stopwatch reading{read_s};
    const CellRect window = read(structures);
    reading.stop();
    for_each_group_of(structures, window,
                      [&](const CellRect& rect, std::span<const std::size_t> group) {
                          const Stopwatch sums{sums_s};
                          const FuelWindow fuel = sums_of(rect, window, cells_, contribution_);
                          sums.stop();
                          for (const std::size_t k : group)
                              visit(k, fuel);
                      });
}

void TileFuel::for_each(
    std::span<const std::uint32_t> structures, const TreatedFuel& treated,
    const std::function<void(std::size_t, const FuelWindow&, const FuelWindow&)>& visit)
{
    const CellRect window = read(structures);
    treated_cells_ = cells_;
    treated.apply(window, treated_cells_);
    for_each_group_of(
        structures, window, [&](const CellRect& rect, std::span<const std::size_t> group) {
            const FuelWindow before = sums_of(rect, window, cells_, contribution_);
            const FuelWindow after = sums_of(rect, window, treated_cells_, treated.contributions());
            for (const std::size_t k : group)
                visit(k, before, after);
        });
}

} // namespace fuelring
