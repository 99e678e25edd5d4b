// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/geos.hpp"
#include "run/inputs/inputs.hpp"
#include "run/treat/ground/strip_lines.hpp"

#include <fuelring/outline.hpp>

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace fuelring {

/// Areas that do not overlap, and how much of each cell lies in them, by exact cover.
class AreaCover {
public:
    AreaCover() = default; ///< nothing anywhere
    /// Units of the grid from the corner of cell (0, 0). Numbers of areas are their places here.
    AreaCover(const std::vector<std::vector<RawPolygon>>& areas, const Grid& grid);

    bool empty() const { return areas_.empty(); }

    /// Buffer of one worker.
    using Plane = std::vector<std::uint64_t>;
    /// Calls visit(area, row, col, share) for the cells of a block that an area covers more than
    /// rounding does, area by area, by row and column; 0 < share <= 1. `block` begins at a multiple
    /// of 512 cells and is no larger. For any thread.
    template <typename Visit>
    void cells(const CellRect& block, Plane& plane, Visit&& visit) const
    {
        for (const std::uint32_t place : areas_in(block)) {
            const std::uint32_t area = areas_[place].number;
            const CellRect rect = intersection(areas_[place].cells, block);
            cover(place, rect, plane);
            std::size_t k = 0;
            for (std::int64_t row = rect.row; row < rect.row + rect.rows; ++row) {
                std::uint64_t sum = 0;
                for (std::int64_t col = rect.col; col < rect.col + rect.cols; ++col, ++k) {
                    sum += plane[k];
                    if (const double share = share_of(sum); share > 0)
                        visit(area, row, col, share);
                }
            }
        }
    }

private:
    struct Area {
        std::uint32_t number;
        Outline outline;
        CellFrame frame;
        CellRect cells; ///< that it may touch
    };
    std::vector<std::uint32_t> areas_in(const CellRect& block) const;
    /// Differences along the rows of a rectangle.
    void cover(std::uint32_t place, const CellRect& rect, Plane& plane) const;
    /// 0 where it is rounding only; at most 1.
    static double share_of(std::uint64_t fixed);

    std::optional<Grid> grid_; ///< none where there are no areas
    std::vector<Area> areas_;
    /// Rising, by block (row, column).
    std::map<std::pair<std::int64_t, std::int64_t>, std::vector<std::uint32_t>> areas_of_;
};

/// A parcel that is a unit of a plan.
struct ParcelLand {
    std::string id;
    std::string owner; ///< class, as zones have it
};

/// Where a plan has to go and where it must not, by exact cover.
struct TreatAreas {
    AreaCover closed;                  ///< declined land, and keep-out areas taken by cover
    AreaCover required;                ///< without what is closed; one for each connected polygon
    AreaCover slices;                  ///< of strips
    std::vector<SliceGround> strips{}; ///< the same, by number; their ground is in `slices`
    std::vector<ParcelLand> parcels{}; ///< where they are units; their ground is in `slices`
    std::vector<LayerCrs> layers{};    ///< of [treat]: how they came into the analysis CRS
};

/// Reads the layers that the settings name. Throws: Error{input} naming layer and feature; where
/// no parcel is of an owner or has an id that declines; where the layer of required areas has none.
TreatAreas read_treat_areas(const InputSettings& sources, const TreatmentSettings& settings,
                            const AnalysisGrid& analysis);

} // namespace fuelring
