// SPDX-License-Identifier: Apache-2.0

// GDAL writes the PNG into memory, where a write cannot fail for want of room; whoever stores the
// bytes looks at the disk.
#include "io/report_data/png_out.hpp"

#include "io/gdal/errors.hpp"
#include "io/gdal/handles.hpp"
#include "io/gdal/memory_file.hpp"

#include <fuelring/error.hpp>

#include <memory>

namespace fuelring {

namespace {

struct ColourTableDestroy {
    void operator()(GDALColorTableH h) const noexcept { GDALDestroyColorTable(h); }
};
using ColourTable = std::unique_ptr<void, ColourTableDestroy>;

Error not_made(const GdalErrors& errors)
{
    return {Failure::output, "a picture could not be made: " + errors.reason()};
}

ColourTable colour_table(const IndexedImage& image)
{
    ColourTable table{GDALCreateColorTable(GPI_RGB)};
    for (std::size_t k = 0; k < image.colours.size(); ++k) {
        const IndexedImage::Colour& c = image.colours[k];
        const GDALColorEntry entry{c[0], c[1], c[2], c[3]};
        GDALSetColorEntry(table.get(), static_cast<int>(k), &entry);
    }
    return table;
}

/// The image in memory, as GDAL wants it for a copy.
DatasetPtr in_memory(const IndexedImage& image, const GdalErrors& errors)
{
    const int cols = static_cast<int>(image.cols);
    const int rows = static_cast<int>(image.rows);
    DatasetPtr raster{GDALCreate(GDALGetDriverByName("MEM"), "", cols, rows, 1, GDT_Byte, nullptr)};
    if (!raster)
        throw not_made(errors);
    GDALRasterBandH band = GDALGetRasterBand(raster.get(), 1);
    auto* pixels = const_cast<std::uint8_t*>(image.pixels.data()); // only read
    if (GDALSetRasterColorTable(band, colour_table(image).get()) != CE_None ||
        GDALRasterIO(band, GF_Write, 0, 0, cols, rows, pixels, cols, rows, GDT_Byte, 0, 0) !=
            CE_None)
        throw not_made(errors);
    return raster;
}

} // namespace

std::string png_of(const IndexedImage& image, const std::string& description)
{
    if (image.pixels.empty())
        return {};
    const GdalErrors errors;
    const DatasetPtr raster = in_memory(image, errors);
    const MemoryFile file{"png"};
    const std::string said = "DESCRIPTION=" + description;
    const char* const options[] = {"ZLEVEL=9", description.empty() ? nullptr : said.c_str(),
                                   nullptr};
    DatasetPtr png{GDALCreateCopy(GDALGetDriverByName("PNG"), file.name().c_str(), raster.get(),
                                  FALSE, options, nullptr, nullptr)};
    if (!png)
        throw not_made(errors);
    png.reset();
    const std::string_view bytes = file.bytes();
    if (bytes.empty() || errors.failures() > 0)
        throw not_made(errors);
    return std::string{bytes};
}

} // namespace fuelring
