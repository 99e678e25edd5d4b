// SPDX-License-Identifier: Apache-2.0

// Opening the fuel raster: everything that can be refused is refused before the first cell is read.
#include "io/raster/fuel_raster.hpp"

#include "io/raster/raster_input.hpp"

#include <fuelring/error.hpp>

#include <algorithm>

namespace fuelring {

void NoShares::add(double value)
{
    least = cells == 0 ? value : std::min(least, value);
    most = cells == 0 ? value : std::max(most, value);
    ++cells;
    if (const auto at = cells_of_value.find(value); at != cells_of_value.end())
        ++at->second;
    else if (cells_of_value.size() < most_values)
        cells_of_value.emplace(value, 1);
}

namespace {

constexpr const char* fuel_key = "inputs.fuel";

RasterWish wish_of(const FuelSource& source)
{
    return {source.files(), source.band, fuel_key, source.holds_shares() ? "shares" : "class codes",
            source.crs};
}

AnalysisPlan plan_of(const SourceGrid& grid, const FuelSource& source, const StudyArea& study)
{
    try {
        return plan_analysis(grid, study);
    } catch (const Error& e) {
        if (!e.where().empty()) // the structures are to blame
            throw;
        throw Error{Failure::input, e.what(), source.path, e.remedy()};
    }
}

} // namespace

FuelRaster::FuelRaster(const FuelSource& source, const FuelClassTable& classes,
                       const StudyArea& study)
    : FuelRaster{source, classes, study, look_at_raster(wish_of(source))}
{}

FuelRaster::FuelRaster(const FuelSource& source, const FuelClassTable& classes,
                       const StudyArea& study, const LookedAt& look)
    : source_{source}, classes_{classes}, place_{look.place},
      plan_{plan_of(look.place.grid, source, study)}, description_{look.description}
{
    const CellRect block = block_of(look.band);
    const int mask_bytes =
        look.place.is_mosaic() || GDALGetMaskFlags(look.band) & GMF_PER_DATASET ? 1 : 0;
    blocks_ = {block.cols, block.rows,
               GDALGetDataTypeSizeBytes(GDALGetRasterDataType(look.band)) + mask_bytes,
               plan_.source.cols, plan_.source.rows};
    if (plan_.warped())
        warp_.emplace(plan_);
}

} // namespace fuelring
