// SPDX-License-Identifier: Apache-2.0
#include "io/gdal_open.hpp"

#include "io/gdal_setup.hpp"

#include <fuelring/error.hpp>

#include <cpl_error.h>
#include <fmt/format.h>
#include <ogr_spatialref.h>

#include <string_view>

namespace fuelring {

namespace {

// Formats that hold their data themselves. Anything else may point anywhere.
constexpr const char* raster_drivers[] = {"GTiff",  "GPKG", "HFA",  "AAIGrid",
                                          "EHdr",   "ENVI", "SAGA", "JP2OpenJPEG",
                                          "PCIDSK", "RST",  nullptr};
constexpr const char* vector_drivers[] = {
    "GPKG", "ESRI Shapefile", "GeoJSON", "GeoJSONSeq",  "FlatGeobuf", "SQLite",       "CSV",  "GML",
    "KML",  "LIBKML",         "OSM",     "OpenFileGDB", "Parquet",    "MapInfo File", nullptr};

/// CSV files of points carry their coordinates in columns.
constexpr const char* vector_options[] = {"X_POSSIBLE_NAMES=x,easting,lon,longitude",
                                          "Y_POSSIBLE_NAMES=y,northing,lat,latitude",
                                          "AUTODETECT_TYPE=NO", nullptr};

/// Why an allowed driver did not open it: its own words, or what other format it is.
Error not_opened(const std::string& path, InputKind kind, const std::string& reason,
                 const std::string& key)
{
    const char* what = kind == InputKind::raster ? "raster" : "vector layer";
    const char* tool = kind == InputKind::raster ? "gdalinfo" : "ogrinfo";
    const unsigned flags = kind == InputKind::raster ? GDAL_OF_RASTER : GDAL_OF_VECTOR;
    GDALDriverH other = GDALIdentifyDriverEx(path.c_str(), flags, nullptr, nullptr);
    if (other && reason.find("not recognized") != reason.npos)
        return {
            Failure::input,
            fmt::format("it is a {} file, which may point to data elsewhere",
                        GDALGetDriverShortName(other)),
            path,
            fmt::format("convert it, or set run.remote_inputs = true if you trust {}.path", key)};
    return {Failure::input, fmt::format("no {} that can be read: {}", what, reason), path,
            fmt::format("check {}.path with {}", key, tool)};
}

} // namespace

std::string gdal_reason(const std::string& otherwise)
{
    const std::string reason = CPLGetLastErrorMsg();
    return reason.empty() ? otherwise : reason;
}

DatasetPtr open_input(const std::string& path, InputKind kind, bool remote_allowed,
                      const std::string& key)
{
    if (!remote_allowed && is_connection_string(path))
        throw Error{Failure::input, "no plain local file", path,
                    fmt::format("set run.remote_inputs = true if you trust {}.path", key)};
    const bool raster = kind == InputKind::raster;
    const unsigned flags =
        (raster ? GDAL_OF_RASTER : GDAL_OF_VECTOR) | GDAL_OF_READONLY | GDAL_OF_VERBOSE_ERROR;
    const char* const* drivers = raster ? raster_drivers : vector_drivers;
    CPLErrorReset();
    DatasetPtr dataset{GDALOpenEx(path.c_str(), flags, remote_allowed ? nullptr : drivers,
                                  raster ? nullptr : vector_options, nullptr)};
    if (!dataset)
        throw not_opened(path, kind, gdal_reason("GDAL gives no reason"), key);
    return dataset;
}

bool is_known_crs(const OGRSpatialReference* srs)
{
    if (!srs || srs->IsEmpty() || srs->IsLocal())
        return false;
    const char* name = srs->GetName();
    return !(name && std::string_view{name}.starts_with("Undefined "));
}

Crs crs_of_input(const OGRSpatialReference* in_file, const std::string& fallback,
                 const std::string& path, const std::string& key)
{
    if (is_known_crs(in_file))
        return Crs::from_srs(*in_file);
    if (fallback.empty())
        throw Error{Failure::input, "the file has no coordinate reference system", path,
                    fmt::format("give it in the configuration: {}.crs = \"EPSG:...\"", key)};
    return Crs::from_user_input(fallback, key + ".crs");
}

} // namespace fuelring
