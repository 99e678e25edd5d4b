// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "change/overlay.hpp"
#include "io/gdal/reprojection.hpp"
#include "io/run_folder/fuel_used_in.hpp"

#include <optional>
#include <string>

namespace fuelring {

/// Where the cells of BEFORE lie.
struct BeforeGrid {
    /// Among those of AFTER, where both stand in one system and no grid is turned against the
    /// other. Empty: cells are reprojected, corner by corner.
    std::optional<GridRelation> relation;
    std::string fuel; ///< path of its fuel_used.tif
};

/// What both runs saw around a place, laid over each other. For one thread.
class ComparedFuel {
public:
    /// `after`: AFTER's grid; `after_fuel`: path of its fuel_used.tif. Opens both files. `before`
    /// and `after` must outlive this. Throws: Error{input}.
    ComparedFuel(const BeforeGrid& before, const AnalysisGrid& after,
                 const std::string& after_fuel);

    /// `rect`: cells of AFTER, which may leave the raster; the overlay is seen from `frame`.
    /// Throws: Error{input} where a file cannot be read, or a corner of a cell has no place in the
    /// other system. `with_classes`: it knows ChangeArea::class_m2.
    FuelOverlay overlay(const CellRect& rect, const CellFrame& frame, bool with_classes = false);
    /// What became of each cell of AFTER in `rect`, row by row. Throws as overlay().
    CellChanges changes(const CellRect& rect);

private:
    /// BEFORE's cells about a rectangle of AFTER's, and the parts of each.
    struct Foreign {
        FuelPatch fuel;
        CellParts parts;
    };
    Foreign foreign(const CellRect& rect);
    CellRect cells_about(const CellRect& rect) const;

    const std::optional<GridRelation>& relation_;
    const Grid& grid_;
    FuelUsed before_;
    FuelUsed after_;
    Reprojection to_after_;
    Reprojection to_before_; ///< the way back by the same operation
};

} // namespace fuelring
