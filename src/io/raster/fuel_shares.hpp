// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/sources.hpp"
#include "io/raster/fuel_codes.hpp"
#include "raster/share_classes.hpp"

#include <cmath>
#include <cstdint>
#include <limits>
#include <optional>
#include <span>
#include <type_traits>
#include <vector>

namespace fuelring {

/// What a band says that its cells mean: scale * cell + offset.
struct BandScale {
    double scale = 1;
    double offset = 0;
};

/// Cells of type T that hold a share to class indices (share_classes): CodeIndex for rasters of
/// shares, with the same functions.
/// Law: a share is rounded to the nearest ten-thousandth, halves away from zero; what then lies
/// outside 0 to 10,000 is unknown_class, as codes are that a table lacks. NaN is nodata.
/// Pure once made: for any number of threads.
template <typename T>
class ShareIndex {
public:
    ShareIndex(FuelValues values, BandScale band, std::optional<T> nodata)
        : band_{band}, whole_{values == FuelValues::percent ? whole_share / 100.0 : whole_share},
          nodata_{nodata}
    {
        if constexpr (is_small)
            for (std::int64_t cell = least; cell <= most; ++cell)
                array_.push_back(computed(static_cast<T>(cell)));
    }

    /// As CodeIndex::translate; true always, since any number may be meant as a share.
    bool translate(std::span<const T> cells, std::span<ClassIndex> out, ClassIndex& highest) const
    {
        for (std::size_t k = 0; k < cells.size(); ++k)
            highest = std::max(highest, out[k] = of(cells[k]));
        return true;
    }

    /// Adds cells by the codes of share_classes, and those without a share by their value.
    bool count(std::span<const T> cells, CodeCensus& census) const
    {
        std::vector<std::int64_t> counts(static_cast<std::size_t>(class_of_share(whole_share)) + 1);
        for (const T cell : cells)
            if (const ClassIndex index = of(cell); index == unknown_class)
                census.no_shares.add(value_of(cell));
            else
                ++counts[index];
        census.nodata_cells += counts[no_data_class];
        for (std::size_t k = class_of_share(0); k < counts.size(); ++k)
            if (counts[k] > 0)
                census.cells_of_code[static_cast<std::int64_t>(k) - class_of_share(0)] += counts[k];
        return true;
    }

    bool is_code(T) const { return true; }
    bool is_nodata(T cell) const { return is_unknown(cell, nodata_); }

private:
    static constexpr bool is_small = std::is_integral_v<T> && sizeof(T) <= 2;
    static constexpr std::int64_t least =
        is_small ? std::int64_t{std::numeric_limits<T>::min()} : 0;
    static constexpr std::int64_t most = is_small ? std::int64_t{std::numeric_limits<T>::max()} : 0;

    double value_of(T cell) const { return band_.scale * static_cast<double>(cell) + band_.offset; }

    ClassIndex computed(T cell) const
    {
        if (is_nodata(cell))
            return no_data_class;
        const double share = std::round(whole_ * value_of(cell));
        if (!(share >= 0 && share <= whole_share))
            return unknown_class;
        return class_of_share(static_cast<std::int32_t>(share));
    }

    ClassIndex of(T cell) const
    {
        if constexpr (is_small)
            return array_[static_cast<std::size_t>(std::int64_t{cell} - least)];
        else
            return computed(cell);
    }

    BandScale band_;
    double whole_; ///< ten-thousandths of one unit of the raster's values
    std::optional<T> nodata_;
    std::vector<ClassIndex> array_; ///< of all values of one- and two-byte cells
};

} // namespace fuelring
