// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/schedule/stage_context.hpp"
#include "run/schedule/tiles.hpp"

#include <cstddef>
#include <cstdint>
#include <functional>
#include <span>
#include <vector>

namespace fuelring {

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
