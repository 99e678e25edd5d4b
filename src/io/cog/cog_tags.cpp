// SPDX-License-Identifier: Apache-2.0

// Tags of the directories. Those of the georeference are not made here: GDAL writes a GeoTIFF of
// one cell into memory, and its tags are copied, so that a CRS is told exactly as GDAL tells it.
// Codes of TIFF stand as numbers with what they mean beside them.
#include "io/cog/cog_tags.hpp"

#include "base/markup.hpp"
#include "io/gdal/errors.hpp"
#include "io/gdal/memory_file.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <ogr_spatialref.h>

#include <algorithm>
#include <cstring>
#include <stdexcept>
#include <string_view>

namespace fuelring {

namespace {

constexpr std::array<std::uint16_t, 6> georeference_codes = {
    33550, 33922, 34264, // pixel scale, tie point, or a whole transformation for rotated grids
    34735, 34736, 34737, // GeoKeys and their numbers and texts
};
constexpr std::uint16_t adobe_deflate = 8;

Error cannot_describe(const std::string& reason)
{
    return {Failure::output,
            "GDAL cannot describe the grid as GeoTIFF: " + reason,
            {},
            "check the CRS of the fuel raster with gdalinfo"};
}

void make_one_cell(const MemoryFile& file, const Grid& grid, const Crs& crs)
{
    const GdalErrors errors;
    const std::array<const char*, 2> options = {"ENDIANNESS=LITTLE", nullptr};
    DatasetPtr raster{GDALCreate(GDALGetDriverByName("GTiff"), file.name().c_str(), 1, 1, 1,
                                 GDT_Byte, const_cast<char**>(options.data()))};
    if (!raster)
        throw cannot_describe(errors.reason());
    std::array<double, 6> geotransform = grid.geotransform();
    GDALSetGeoTransform(raster.get(), geotransform.data());
    if (!crs.empty()) {
        // GDAL's C interface takes no const handle, and only reads it.
        auto* srs = const_cast<OGRSpatialReference*>(&crs.srs());
        GDALSetSpatialRef(raster.get(), OGRSpatialReference::ToHandle(srs));
    }
    raster.reset();
    if (errors.failures() > 0)
        throw cannot_describe(errors.reason());
}

template <typename T>
T value_at(std::string_view bytes, std::size_t at)
{
    if (at > bytes.size() || bytes.size() - at < sizeof(T))
        throw std::logic_error{"the one-cell GeoTIFF ends early"};
    T value;
    std::memcpy(&value, bytes.data() + at, sizeof value);
    return value;
}

/// Bytes of one value of the types that GeoTIFF's own tags have.
std::size_t width_of(TiffTag::Type type)
{
    switch (type) {
    case TiffTag::Type::f64:
        return 8;
    case TiffTag::Type::u16:
        return 2;
    default:
        return 1;
    }
}

/// Numbers as GDAL reads them back to the same double.
std::string number_text(double value)
{
    return fmt::format("{}", value);
}

std::string xml_text(std::string_view raw)
{
    return markup_text(raw, [](std::string_view c) { return c; });
}

/// GDAL escapes a value before it escapes the XML that holds it, and takes both off when reading.
std::string item_value(std::string_view raw)
{
    return xml_text(xml_text(raw));
}

std::string statistics_items(const BandStats& band, std::size_t sample, std::int64_t all_cells)
{
    if (band.count == 0)
        return {};
    const double valid_percent =
        100 * static_cast<double>(band.count) / static_cast<double>(all_cells);
    const std::pair<std::string_view, std::string> items[] = {
        {"MAXIMUM", number_text(band.largest)},
        {"MEAN", number_text(band.mean)},
        {"MINIMUM", number_text(band.smallest)},
        {"STDDEV", number_text(band.deviation())},
        {"VALID_PERCENT", number_text(valid_percent)}};
    std::string xml;
    for (const auto& [name, value] : items)
        xml += fmt::format("  <Item name=\"STATISTICS_{}\" sample=\"{}\">{}</Item>\n", name, sample,
                           value);
    return xml;
}

} // namespace

std::vector<TiffTag> georeference_tags(const Grid& grid, const Crs& crs)
{
    const MemoryFile file{"tif"};
    make_one_cell(file, grid, crs);
    const std::string_view bytes = file.bytes();
    std::size_t at = value_at<std::uint32_t>(bytes, 4);
    const auto entries = value_at<std::uint16_t>(bytes, at);
    at += 2;
    std::vector<TiffTag> tags;
    for (std::size_t k = 0; k < entries; ++k, at += 12) {
        const auto code = value_at<std::uint16_t>(bytes, at);
        if (std::ranges::find(georeference_codes, code) == georeference_codes.end())
            continue;
        const auto type = static_cast<TiffTag::Type>(value_at<std::uint16_t>(bytes, at + 2));
        const auto count = value_at<std::uint32_t>(bytes, at + 4);
        const std::size_t size = count * width_of(type);
        // Up to four bytes stand in the entry itself, more where it points to (TIFF 6.0, section
        // 2).
        const std::size_t from = size <= 4 ? at + 8 : value_at<std::uint32_t>(bytes, at + 8);
        tags.push_back({code, type, count, std::string{bytes.substr(from, size)}});
    }
    return tags;
}

std::vector<TiffTag> picture_tags(RasterOutSpec::Kind kind, std::uint32_t cols, std::uint32_t rows,
                                  bool overview)
{
    const bool surface = kind == RasterOutSpec::Kind::surface;
    std::vector<TiffTag> tags = {
        TiffTag::u32(256, {cols}),
        TiffTag::u32(257, {rows}),
        TiffTag::u16(258, surface ? std::vector<std::uint16_t>{32}
                                  : std::vector<std::uint16_t>{16, 16}), // bits per sample
        TiffTag::u16(259, {adobe_deflate}),
        TiffTag::u16(262, {1}),                                           // black is zero
        TiffTag::u16(277, {static_cast<std::uint16_t>(surface ? 1 : 2)}), // samples per pixel
        TiffTag::u16(284, {1}),                                           // pixel by pixel
        TiffTag::u16(322, {tile_side}),
        TiffTag::u16(323, {tile_side}),
        TiffTag::u16(339, surface ? std::vector<std::uint16_t>{3}
                                  : std::vector<std::uint16_t>{1, 1}), // float, or unsigned
        TiffTag::text(42113, surface ? "nan" : "65535"),               // GDAL's nodata
    };
    if (!surface)
        tags.push_back(TiffTag::u16(338, {0})); // the second sample is no alpha
    if (overview)
        tags.push_back(TiffTag::u32(254, {1})); // a reduced picture
    return tags;
}

TiffTag metadata_tag(const RasterOutSpec& spec, const std::array<BandStats, 2>& stats,
                     std::int64_t all_cells)
{
    std::string xml = "<GDALMetadata>\n";
    for (const auto& [key, value] : spec.metadata)
        xml += fmt::format("  <Item name=\"{}\">{}</Item>\n", xml_text(key), item_value(value));
    const std::size_t bands = spec.kind == RasterOutSpec::Kind::surface ? 1 : 2;
    for (std::size_t band = 0; band < bands; ++band) {
        xml += statistics_items(stats[band], band, all_cells);
        if (band < spec.band_names.size())
            xml += fmt::format("  <Item name=\"DESCRIPTION\" sample=\"{}\" role=\"description\">{}"
                               "</Item>\n",
                               band, item_value(spec.band_names[band]));
    }
    return TiffTag::text(42112, xml + "</GDALMetadata>\n");
}

} // namespace fuelring
