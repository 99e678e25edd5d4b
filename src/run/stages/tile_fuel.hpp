// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/schedule/stage_context.hpp"
#include "run/schedule/tiles.hpp"

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <span>
#include <utility>
#include <vector>

namespace fuelring {

/// Calls visit(group) for the items whose frames fall into the same square of group_cells, square
/// by square from the corner of `window`; inside a group they keep their order.
template <typename Item, typename FrameOf, typename Visit>
void for_each_group(std::vector<Item>& items, const CellRect& window, FrameOf frame_of, Visit visit)
{
    const auto key = [&](const Item& item) {
        const CellFrame& f = frame_of(item);
        return std::pair{(f.row - window.row) / group_cells, (f.col - window.col) / group_cells};
    };
    std::stable_sort(items.begin(), items.end(),
                     [&](const Item& a, const Item& b) { return key(a) < key(b); });
    for (auto first = items.begin(); first != items.end();) {
        const auto last = std::find_if(first, items.end(),
                                       [&](const Item& item) { return key(item) != key(*first); });
        visit(std::span<const Item>{first, last});
        first = last;
    }
}

/// Running sums over `rect`, a part of `window`, whose classes are `cells`, row by row.
FuelWindow sums_of(const CellRect& rect, const CellRect& window, std::span<const ClassIndex> cells,
                   std::span<const FuelSum> contribution);

/// The fuel around the structures of a tile, read once: what a worker of a parallel stage keeps.
class TileFuel {
public:
    /// Windows hold the widest rings and `beyond_m` more. `context` is to outlive it.
    explicit TileFuel(const StageContext& context, double beyond_m = 0);

    /// Calls visit(k, fuel) for each structures[k], in an order of its own, with a window that
    /// holds its reach. Structures that stand close together share a window of running sums, small
    /// enough for the cache. Times are added to `read_s` and `sums_s`.
    void for_each(std::span<const std::uint32_t> structures, double& read_s, double& sums_s,
                  const std::function<void(std::size_t, const FuelWindow&)>& visit);

private:
    CellRect reach_of_all(std::span<const std::uint32_t> structures) const;

    const StageContext* context_;
    double beyond_m_;
    FuelRaster::Reader reader_;
    std::vector<FuelSum> contribution_;
    std::vector<ClassIndex> cells_;
};

} // namespace fuelring
