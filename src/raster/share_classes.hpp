// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/fuel_classes.hpp>

#include <array>
#include <cstdint>
#include <string>

namespace fuelring {

/// The table of a raster of shares: a class for every ten-thousandth, whose code is that number. So
/// shares are the same whole numbers as those of a class table, and sums stay exact.
/// Shape: 10,001 rows behind 'no data', all of FuelGroup::share.
FuelClassTable share_classes();

/// The class of a share. Requires: 0 <= ten_thousandths <= whole_share.
constexpr ClassIndex class_of_share(std::int32_t ten_thousandths)
{
    return static_cast<ClassIndex>(ten_thousandths + 1);
}

/// Bands in which people are told of shares: none, then tenths, each with its upper end.
inline constexpr std::size_t share_bands = 11;
/// 0 for none, else the tenth that holds the share: 1 for all up to 1000, 10 for the uppermost.
constexpr std::size_t share_band(std::int32_t ten_thousandths)
{
    return static_cast<std::size_t>((ten_thousandths + 999) / 1000);
}
/// "no conifers", "up to 10% conifers", "10 to 20% conifers".
std::string share_band_label(std::size_t band);

/// Cells and their shares by band, to be told or written.
/// Law: order of adding does not matter.
struct ShareBands {
    std::array<std::int64_t, share_bands> cells{};
    std::array<std::int64_t, share_bands> share_sum{}; ///< ten-thousandths

    void add(std::int32_t ten_thousandths, std::int64_t count)
    {
        cells[share_band(ten_thousandths)] += count;
        share_sum[share_band(ten_thousandths)] += count * ten_thousandths;
    }
    /// Mean share of the cells of a band, 0 to 1. Requires: it has cells.
    double mean(std::size_t band) const
    {
        return static_cast<double>(share_sum[band]) / static_cast<double>(cells[band]) /
               whole_share;
    }
};

} // namespace fuelring
