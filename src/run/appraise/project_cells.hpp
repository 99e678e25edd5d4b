// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/bounds.hpp"
#include "projects/ground_parts.hpp"
#include "run/stages/stages.hpp"

#include <fuelring/footprint.hpp>

#include <cstdint>
#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <utility>
#include <vector>

namespace fuelring {

/// A part of the ground as the stages need it.
struct PartShape {
    Footprint ground; ///< units of the grid from the corner of cell (0, 0)
    Box box;
    CellRect cells; ///< that it may touch
};
std::vector<PartShape> part_shapes(const std::vector<GroundPart>& parts, const Grid& grid);

/// Conifers of a part inside one block of the run's rasters.
struct PartCells {
    struct Cell {
        std::uint16_t row, col; ///< in the block
        double conifer;         ///< conifer share times the share of the cell inside; above 0
    };
    std::uint32_t part = 0;
    CellRect block;
    CellRect cells; ///< around them
    std::vector<Cell> list;
    double clearable_m2 = 0; ///< of those that add to some exposure
};

/// What the cells of the run say of the parts, and of all ground there is to choose from.
class ProjectCells {
public:
    /// Reads the blocks of `rasters` (the folder of priority.tif and fuel_used.tif) that a ring
    /// reaches. Throws: Error{input, output}; what context.check_cancelled throws.
    ProjectCells(const StageContext& context, const std::vector<PartShape>& parts,
                 const std::filesystem::path& rasters);

    /// Calls visit(cells) for each part and block that meets a rectangle, by block, then part.
    template <typename Visit>
    void for_each(const CellRect& rect, Visit&& visit) const
    {
        for (const PartCells& cells : cells_)
            if (!intersection(rect, cells.cells).empty())
                visit(cells);
    }
    const std::vector<PartCells>& all() const { return cells_; }

    /// No way to clear so many square metres of conifers removes more points.
    double most_points(double conifer_m2) const { return supply_->most_points(conifer_m2); }

private:
    std::vector<PartCells> cells_; ///< by block (row, column), then part
    std::unique_ptr<plan::Supply> supply_;
};

} // namespace fuelring
