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
/// by square from the corner of `window`; inside a group they keep their order. Sorts `items` and
/// lends spans of them: visit must not change the vector.
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

/// Running sums over `rect`, which lies inside `window`; `cells` are the classes of `window`, row
/// by row without gaps. `contribution` is by class index.
FuelWindow sums_of(const CellRect& rect, const CellRect& window, std::span<const ClassIndex> cells,
                   std::span<const FuelSum> contribution);

/// The fuel as it might be instead.
struct FuelVariant {
    std::vector<FuelSum> contributions; ///< by class index
    /// Gives cells of a rectangle other classes; empty: they keep them. From several threads.
    std::function<void(const CellRect&, std::span<ClassIndex>)> apply{};
};

class TreatedFuel;

/// The fuel around the structures of a tile, read once: what a worker of a parallel stage keeps.
/// For one thread.
class TileFuel {
public:
    /// Windows hold the widest rings and `beyond_m` more, metres of the ground. `context` is to
    /// outlive it, and so is `variant`, where the fuel is to be that.
    explicit TileFuel(const StageContext& context, double beyond_m = 0,
                      const FuelVariant* variant = nullptr);

    /// Calls visit(k, fuel) for each structures[k], in an order of its own, with a window that
    /// holds its reach. Structures that stand close together share a window of running sums, small
    /// enough for the cache. The window is valid during the call only. Seconds are added to
    /// `read_s` and `sums_s`, which may be the same. Throws: Error{input} when a block cannot be
    /// read.
    void for_each(std::span<const std::uint32_t> structures, double& read_s, double& sums_s,
                  const std::function<void(std::size_t, const FuelWindow&)>& visit);
    /// Calls visit(k, before, after): the fuel as it is, and as units leave it. Else as above.
    void
    for_each(std::span<const std::uint32_t> structures, const TreatedFuel& treated,
             const std::function<void(std::size_t, const FuelWindow&, const FuelWindow&)>& visit);

private:
    CellRect reach_of_all(std::span<const std::uint32_t> structures) const;
    /// Reads what lies in reach of the structures: a window of classes.
    CellRect read(std::span<const std::uint32_t> structures);
    /// Calls visit(rect, group) for structures that stand close together, by number k, with the
    /// cells that hold their reach.
    void for_each_group_of(
        std::span<const std::uint32_t> structures, const CellRect& window,
        const std::function<void(const CellRect&, std::span<const std::size_t>)>& visit) const;

    const StageContext* context_;
    double beyond_m_;
    const FuelVariant* variant_;
    FuelRaster::Reader reader_;
    std::vector<FuelSum> contribution_;
    std::vector<ClassIndex> cells_;
    std::vector<ClassIndex> treated_cells_;
};

} // namespace fuelring
