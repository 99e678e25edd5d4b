// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/serialization.hpp"
#include "base/sources.hpp"
#include "geometry/geos.hpp"
#include "io/georeference/analysis_grid.hpp"

#include <cstddef>
#include <cstdint>
#include <map>
#include <utility>
#include <vector>

namespace fuelring {

/// Land within a distance of structures: cells whose centre is that near to a wall, or nearer, but
/// not those on a footprint. Land near two structures is there once.
/// Threads: may be shared.
class NearHomes {
public:
    /// Reads the footprints; those below min_area_m2, and outside source.area by the middle of
    /// their box, are left out, as `map` leaves them out. `near_m`: metres of the map.
    /// Throws: Error{input}: as PlacedLayer, and naming the feature whose vertex has no place.
    NearHomes(const StructureSource& source, const AnalysisGrid& analysis, double cell_m,
              double near_m);

    /// By cell of the window, row by row: 1 where it is near, else 0. Empty where none is.
    std::vector<std::uint8_t> cells_in(const CellRect& rect) const;
    /// Puts what cells_in(rect) depends on.
    void put(ByteWriter& bytes, const CellRect& rect) const;

private:
    using Outline = std::vector<RawPolygon>; ///< in cells of the grid
    struct Home {
        Outline outline;
        CellRect reach; ///< cells that may be near
    };
    /// Homes that may reach into a window, by number, each once.
    std::vector<std::size_t> homes_at(const CellRect& rect) const;

    double reach_cells_;
    std::vector<Home> homes_;
    /// By row and column of blocks.
    std::map<std::pair<std::int64_t, std::int64_t>, std::vector<std::size_t>> by_block_;
};

} // namespace fuelring
