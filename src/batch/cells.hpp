// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/fuel_classes.hpp>
#include <fuelring/raster_view.hpp>

#include <cstdint>
#include <set>
#include <unordered_map>
#include <vector>

namespace fuelring::batch {

/// Classes of the cells of a raster that somebody else holds. For one thread.
class CellReader {
public:
    CellReader(const RasterView& raster, const FuelClassTable& classes);

    /// Classes of `rect`, row by row; no_data_class off the raster, for nodata and for codes that
    /// the table lacks.
    void read(const CellRect& rect, std::vector<ClassIndex>& cells);

    /// Values met so far that are no code of the table, or no share.
    const std::set<double>& unknown() const { return unknown_; }

private:
    template <typename Value>
    void read_as(const CellRect& part, const CellRect& rect, std::vector<ClassIndex>& cells);
    ClassIndex class_of(double value);
    ClassIndex class_of_share_value(double value);

    const RasterView& raster_;
    const FuelClassTable& classes_;
    std::unordered_map<double, ClassIndex> seen_;
    std::set<double> unknown_;
};

} // namespace fuelring::batch
