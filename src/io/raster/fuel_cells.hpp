// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/fuel_layer/fuel_burner.hpp"
#include "io/raster/fuel_codes.hpp"

#include <algorithm>
#include <cstdint>
#include <span>
#include <stdexcept>
#include <vector>

namespace fuelring {

/// Reads windows of one kind of fuel input. For one thread.
class FuelCells {
public:
    virtual ~FuelCells() = default;
    /// False where a cell holds a code that the table lacks.
    virtual bool read(const CellRect& rect, std::span<ClassIndex> out) = 0;
    virtual void count(const CellRect& rect, CodeCensus& census) = 0;
};

/// Cells that polygons are burnt into; shares are the codes of share_classes.
class PolygonCells final : public FuelCells {
public:
    PolygonCells(const FuelLayer& layer, const FuelClassTable& classes)
        : layer_{layer}, burner_{layer}, codes_{classes, no_fuel_value}
    {}

    bool read(const CellRect& rect, std::span<ClassIndex> out) override
    {
        burn(rect);
        if (out.size() != values_.size())
            throw std::logic_error{"FuelRaster::Reader::read: the room does not fit the window"};
        ClassIndex highest = 0;
        codes_.translate(values_, out, highest);
        if (highest != unknown_class)
            return true;
        std::replace(out.begin(), out.end(), unknown_class, no_data_class);
        return false;
    }

    void count(const CellRect& rect, CodeCensus& census) override
    {
        burn(intersection(rect, layer_.grid().extent()));
        codes_.count(values_, census);
    }

private:
    void burn(const CellRect& rect)
    {
        values_.resize(rect.empty() ? 0 : static_cast<std::size_t>(rect.cols * rect.rows));
        if (!values_.empty())
            burner_.burn(rect, values_);
    }

    const FuelLayer& layer_;
    FuelBurner burner_;
    CodeIndex<std::int64_t> codes_;
    std::vector<std::int64_t> values_;
};

} // namespace fuelring
