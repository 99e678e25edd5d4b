// SPDX-License-Identifier: Apache-2.0

// Opening the fuel raster: everything that can be refused is refused before the first cell is read.
#include "io/raster/fuel_raster.hpp"

#include "io/fuel_layer/fuel_layer.hpp"
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
constexpr int burner_bytes = 32; ///< that polygons take for each cell of a window

RasterWish wish_of(const FuelSource& source)
{
    return {source.files(), source.band, fuel_key, source.holds_shares() ? "shares" : "class codes",
            source.crs};
}

} // namespace

struct FuelRaster::Opened {
    std::shared_ptr<const FuelLayer> layer{};
    RasterPlace place{};
    AnalysisPlan plan;
    std::string description{};
    FileBlocks blocks{};
};

FuelRaster::Opened FuelRaster::opened(const FuelSource& source, const StudyArea& study)
{
    if (source.is_layer()) {
        auto layer = std::make_shared<const FuelLayer>(source, study);
        const AnalysisPlan& plan = layer->plan();
        const std::string& description = layer->description();
        return {
            layer, {}, plan, description, {1, 1, burner_bytes, plan.source.cols, plan.source.rows}};
    }
    const LookedAt look = look_at_raster(wish_of(source));
    const CellRect block = block_of(look.band);
    const int mask_bytes =
        look.place.is_mosaic() || GDALGetMaskFlags(look.band) & GMF_PER_DATASET ? 1 : 0;
    return {nullptr,
            look.place,
            plan_analysis(look.place.grid, study, source.path),
            look.description,
            {block.cols, block.rows,
             GDALGetDataTypeSizeBytes(GDALGetRasterDataType(look.band)) + mask_bytes,
             look.place.grid.cols, look.place.grid.rows}};
}

FuelRaster::FuelRaster(const FuelSource& source, const FuelClassTable& classes,
                       const StudyArea& study)
    : FuelRaster{source, classes, opened(source, study)}
{}

FuelRaster::FuelRaster(const FuelSource& source, const FuelClassTable& classes, Opened opened)
    : source_{source}, classes_{classes}, layer_{std::move(opened.layer)},
      place_{std::move(opened.place)}, plan_{std::move(opened.plan)},
      description_{std::move(opened.description)}, blocks_{opened.blocks}
{
    if (plan_.warped())
        warp_.emplace(plan_);
}

} // namespace fuelring
