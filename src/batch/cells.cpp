// SPDX-License-Identifier: Apache-2.0

// Rasters of classes have long runs of one value and few values in all: the last one is at hand,
// the others are looked up.
#include "batch/cells.hpp"

#include "raster/share_classes.hpp"

#include <algorithm>
#include <cmath>
#include <cstring>

namespace fuelring::batch {

namespace {

constexpr std::size_t most_unknown = 1000; ///< kept, of values that are no share

}

CellReader::CellReader(const RasterView& raster, const FuelClassTable& classes)
    : raster_(raster), classes_(classes)
{}

ClassIndex CellReader::class_of(double value)
{
    if (std::isnan(value) || value == raster_.nodata)
        return no_data_class;
    if (raster_.full_share > 0)
        return class_of_share_value(value);
    if (const auto at = seen_.find(value); at != seen_.end())
        return at->second;
    constexpr double most_exact = 0x1p53;
    const bool is_code = std::abs(value) <= most_exact && value == std::trunc(value);
    const auto found = is_code ? classes_.find(static_cast<std::int64_t>(value)) : std::nullopt;
    if (!found)
        unknown_.insert(value);
    return seen_[value] = found.value_or(no_data_class);
}

ClassIndex CellReader::class_of_share_value(double value)
{
    const double share = std::round(whole_share / raster_.full_share * value);
    if (share >= 0 && share <= whole_share)
        return class_of_share(static_cast<std::int32_t>(share));
    if (unknown_.size() < most_unknown)
        unknown_.insert(value);
    return no_data_class;
}

template <typename Value>
void CellReader::read_as(const CellRect& part, const CellRect& rect, std::vector<ClassIndex>& cells)
{
    const auto* const first = static_cast<const std::byte*>(raster_.data);
    for (std::int64_t row = part.row; row < part.row + part.rows; ++row) {
        const std::byte* from = first + row * raster_.row_stride + part.col * raster_.col_stride;
        auto to = static_cast<std::size_t>((row - rect.row) * rect.cols + part.col - rect.col);
        Value last{};
        ClassIndex last_class = 0;
        for (std::int64_t k = 0; k < part.cols; ++k, from += raster_.col_stride, ++to) {
            Value value;
            std::memcpy(&value, from, sizeof(value)); // a view need not be aligned
            if (k == 0 || value != last) {
                last = value;
                last_class = class_of(static_cast<double>(value));
            }
            cells[to] = last_class;
        }
    }
}

void CellReader::read(const CellRect& rect, std::vector<ClassIndex>& cells)
{
    cells.assign(static_cast<std::size_t>(rect.rows * rect.cols), no_data_class);
    const CellRect part = intersection(rect, raster_.grid.extent());
    if (part.empty())
        return;
    switch (raster_.type) {
    case CellType::uint8:
        return read_as<std::uint8_t>(part, rect, cells);
    case CellType::int8:
        return read_as<std::int8_t>(part, rect, cells);
    case CellType::uint16:
        return read_as<std::uint16_t>(part, rect, cells);
    case CellType::int16:
        return read_as<std::int16_t>(part, rect, cells);
    case CellType::uint32:
        return read_as<std::uint32_t>(part, rect, cells);
    case CellType::int32:
        return read_as<std::int32_t>(part, rect, cells);
    case CellType::int64:
        return read_as<std::int64_t>(part, rect, cells);
    case CellType::float32:
        return read_as<float>(part, rect, cells);
    case CellType::float64:
        return read_as<double>(part, rect, cells);
    }
}

} // namespace fuelring::batch
