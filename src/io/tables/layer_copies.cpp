// SPDX-License-Identifier: Apache-2.0

// Copies are made by GDAL from the GeoPackage and read again by GDAL: it can lose writes without
// saying so, and a copy of fewer rows is none.
#include "io/tables/layer_copies.hpp"

#include "base/program/run_names.hpp"
#include "io/gdal/errors.hpp"
#include "io/gdal/handles.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <gdal_utils.h>
#include <ogr_api.h>

#include <algorithm>
#include <array>
#include <memory>
#include <string_view>

namespace fuelring {

namespace {

struct CopyFormat {
    std::string_view name;
    const char* driver;
    const char* ending;
};
constexpr std::array copy_formats{CopyFormat{"flatgeobuf", "FlatGeobuf", ".fgb"},
                                  CopyFormat{"geoparquet", "Parquet", ".parquet"}};

const CopyFormat& format_of(std::string_view name)
{
    return *std::find_if(copy_formats.begin(), copy_formats.end(),
                         [name](const CopyFormat& f) { return f.name == name; });
}

using TranslateOptions =
    std::unique_ptr<GDALVectorTranslateOptions, ClosedBy<GDALVectorTranslateOptionsFree>>;

/// FlatGeobuf has no rows without a place.
std::string filter_for(const CopyFormat& format, OGRLayerH layer)
{
    return format.name == "flatgeobuf"
               ? fmt::format("\"{}\" IS NOT NULL", OGR_L_GetGeometryColumn(layer))
               : std::string{};
}

TranslateOptions options_for(const CopyFormat& format, const char* layer, const std::string& filter)
{
    CslPtr words;
    const auto add = [&words](const char* word) {
        words.reset(CSLAddString(words.release(), word));
    };
    for (const char* word : {"-f", format.driver, layer})
        add(word);
    if (!filter.empty())
        for (const char* word : {"-where", filter.c_str()})
            add(word);
    return TranslateOptions{GDALVectorTranslateOptionsNew(words.get(), nullptr)};
}

std::int64_t rows_in(const std::filesystem::path& file)
{
    const DatasetPtr data{
        GDALOpenEx(file.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, nullptr, nullptr, nullptr)};
    if (!data || GDALDatasetGetLayerCount(data.get()) != 1)
        return -1;
    return OGR_L_GetFeatureCount(GDALDatasetGetLayer(data.get(), 0), 1);
}

void copy_layer(GDALDatasetH from, OGRLayerH layer, const CopyFormat& format,
                const std::filesystem::path& to)
{
    const GdalErrors errors;
    const std::string filter = filter_for(format, layer);
    OGR_L_SetAttributeFilter(layer, filter.empty() ? nullptr : filter.c_str());
    const std::int64_t rows = OGR_L_GetFeatureCount(layer, 1);
    OGR_L_SetAttributeFilter(layer, nullptr);
    const TranslateOptions options = options_for(format, OGR_L_GetName(layer), filter);
    int failed = 0;
    DatasetPtr made{GDALVectorTranslate(to.c_str(), nullptr, 1, &from, options.get(), &failed)};
    const bool opened = made != nullptr;
    made.reset(); // writes what waits
    if (!opened || failed || errors.failures() > 0 || rows_in(to) != rows)
        throw Error{Failure::output, "the copy of a layer cannot be written: " + errors.reason(),
                    to.string(), "look at the room on the disk, or leave output.copies out"};
}

} // namespace

void require_copy_driver(const std::string& format)
{
    GDALDriverH driver = GDALGetDriverByName(format_of(format).driver);
    if (!driver || !GDALGetMetadataItem(driver, GDAL_DCAP_CREATE, nullptr))
        throw Error{Failure::usage,
                    fmt::format("this GDAL ({}) cannot write {}: it has no driver {}",
                                GDALVersionInfo("RELEASE_NAME"), format, format_of(format).driver),
                    "output.copies",
                    fmt::format("take \"{}\" out, or install a GDAL that has the driver", format)};
}

std::vector<std::string> write_layer_copies(const std::filesystem::path& folder,
                                            const std::vector<std::string>& formats)
{
    std::vector<std::string> names;
    if (formats.empty())
        return names;
    const std::filesystem::path tables = folder / tables_file;
    const DatasetPtr from{
        GDALOpenEx(tables.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, nullptr, nullptr, nullptr)};
    if (!from)
        throw Error{Failure::output, "the layers cannot be read again: " + gdal_reason(),
                    tables.string()};
    for (const std::string& format : formats) {
        require_copy_driver(format);
        for (int k = 0; k < GDALDatasetGetLayerCount(from.get()); ++k) {
            OGRLayerH layer = GDALDatasetGetLayer(from.get(), k);
            if (OGR_L_GetGeomType(layer) == wkbNone) // styles
                continue;
            names.push_back(std::string{OGR_L_GetName(layer)} + format_of(format).ending);
            copy_layer(from.get(), layer, format_of(format), folder / names.back());
        }
    }
    return names;
}

} // namespace fuelring
