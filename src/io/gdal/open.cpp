// SPDX-License-Identifier: Apache-2.0

// A file may lead elsewhere: a VRT to other files, a GeoJSON to a URL, a view to a function, a pipe
// to whoever writes it. Unless the configuration allows remote inputs, a path must be a regular
// file of a format that holds its data itself; what readers of its format open beside it must be
// plain, too; and a fetch that a driver tries all the same is refused, and told.
#include "io/gdal/open.hpp"

#include "base/regular_file.hpp"
#include "base/utf8.hpp"
#include "io/gdal/errors.hpp"
#include "io/gdal/server_wait.hpp"
#include "io/gdal/setup.hpp"

#include <fuelring/error.hpp>

#include <cpl_conv.h>
#include <fmt/format.h>
#include <ogr_spatialref.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <filesystem>
#include <fstream>
#include <optional>
#include <string_view>
#include <system_error>

namespace fuelring {

namespace {

// Formats that hold their data themselves. Anything else may point anywhere.
constexpr const char* raster_drivers[] = {"GTiff", "GPKG", "HFA",         "AAIGrid", "EHdr",
                                          "ENVI",  "SAGA", "JP2OpenJPEG", "RST",     nullptr};
constexpr const char* vector_drivers[] = {
    "GPKG", "ESRI Shapefile", "GeoJSON", "GeoJSONSeq",  "FlatGeobuf", "SQLite",       "CSV",  "GML",
    "KML",  "LIBKML",         "OSM",     "OpenFileGDB", "Parquet",    "MapInfo File", nullptr};

/// CSV files of points carry their coordinates in columns.
constexpr const char* vector_options[] = {"X_POSSIBLE_NAMES=x,easting,lon,longitude",
                                          "Y_POSSIBLE_NAMES=y,northing,lat,latitude",
                                          "AUTODETECT_TYPE=NO", "WRITE_GFS=NO", nullptr};
/// The same where a shapefile's texts are to come as they stand.
constexpr const char* bytes_options[] = {vector_options[0], vector_options[1], vector_options[2],
                                         vector_options[3], "ENCODING=",       nullptr};

/// Columns of coordinates stay texts in tables of addresses, which are read as towns write them:
/// OGR would take what it cannot read for nothing.
constexpr const char* table_options[] = {vector_options[2], vector_options[3], nullptr};
constexpr const char* table_bytes_options[] = {vector_options[2], vector_options[3],
                                               "ENCODING=", nullptr};

const char* const* options_of(const std::string& key, TextBytes texts)
{
    const bool bytes = texts == TextBytes::as_they_are;
    if (key == "inputs.addresses")
        return bytes ? table_bytes_options : table_options;
    return bytes ? bytes_options : vector_options;
}

/// Overviews and masks beside a raster, which GDAL opens with any driver it has.
constexpr std::string_view raster_companions[] = {".ovr", ".msk"};

/// A view or a generated column of a GeoPackage is SQL that its maker wrote: it may then call no
/// function but harmless ones. GDAL has no option of a dataset for this, so it is the thread's
/// while the file is opened.
class UntrustedSql {
public:
    explicit UntrustedSql(bool untrusted)
    {
        if (!untrusted)
            return;
        const char* set = CPLGetConfigOption("OGR_SQLITE_PRAGMA", nullptr);
        const std::string all = set ? fmt::format("{},trusted_schema=OFF", set) : only;
        CPLSetThreadLocalConfigOption("OGR_SQLITE_PRAGMA", all.c_str());
    }
    ~UntrustedSql() { CPLSetThreadLocalConfigOption("OGR_SQLITE_PRAGMA", nullptr); }
    UntrustedSql(const UntrustedSql&) = delete;
    UntrustedSql& operator=(const UntrustedSql&) = delete;

private:
    static constexpr const char* only = "trusted_schema=OFF";
};

bool is_companion_of(const std::string& name, const std::string& raster)
{
    if (!name.starts_with(raster + "."))
        return false;
    std::string suffix = name.substr(name.rfind('.'));
    std::transform(suffix.begin(), suffix.end(), suffix.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return std::find(std::begin(raster_companions), std::end(raster_companions), suffix) !=
           std::end(raster_companions);
}

/// The remedy for an input that leads elsewhere.
std::string or_trust(const std::string& otherwise, const std::string& key)
{
    return fmt::format("{}set run.remote_inputs = true if you trust {}.path", otherwise, key);
}

/// Throws: Error{input} where a file that GDAL reads together with the raster is no GeoTIFF.
void require_plain_companions(const std::filesystem::path& raster, const std::string& key)
{
    constexpr const char* tiff[] = {"GTiff", nullptr};
    std::error_code ignored; // no folder: opening says so
    const std::filesystem::path folder = std::filesystem::absolute(raster, ignored).parent_path();
    for (const auto& entry : std::filesystem::directory_iterator{folder, ignored})
        if (is_companion_of(entry.path().filename().string(), raster.filename().string()) &&
            !GDALIdentifyDriverEx(entry.path().c_str(), GDAL_OF_RASTER, tiff, nullptr))
            throw Error{
                Failure::input,
                "the file next to the raster is not a GeoTIFF and may point to data elsewhere",
                entry.path().string(), or_trust("delete it, or ", key)};
}

/// True for a name that readers of `input`'s format may open with it: `fuel.tif.msk`, `fuel.tfw`,
/// `ROOFS.DBF`, `roofs.gpkg-wal`, `fuel_rpc.txt`. Checksums have a reader of their own.
bool may_be_read_with(const std::string& name, const std::filesystem::path& input)
{
    if (name.ends_with(".sha256"))
        return false;
    const std::string stem = input.stem().string();
    const auto same = [](unsigned char a, unsigned char b) {
        return std::tolower(a) == std::tolower(b);
    };
    return name.size() > stem.size() && std::equal(stem.begin(), stem.end(), name.begin(), same) &&
           std::string_view{".-_"}.find(name[stem.size()]) != std::string_view::npos;
}

/// Drivers of tables take bytes for letters: every second one would be lost without a word.
/// Throws: Error{input} for a file whose text is UTF-16.
void require_no_utf16(const std::string& path)
{
    std::array<char, 4> head{};
    std::ifstream file{path, std::ios::binary};
    file.read(head.data(), head.size());
    if (begins_as_utf16({head.data(), static_cast<std::size_t>(file.gcount())}))
        throw Error{Failure::input, "the file is UTF-16, not UTF-8", path,
                    "save the table as UTF-8"};
}

/// Why no allowed driver opened it (null: all are): its own words, or what other format it is.
Error not_opened(const std::string& path, InputKind kind, const char* const* allowed,
                 const std::string& reason, const std::string& key)
{
    const char* what = kind == InputKind::raster ? "raster" : "vector layer";
    const char* tool = kind == InputKind::raster ? "gdalinfo" : "ogrinfo";
    const unsigned flags = kind == InputKind::raster ? GDAL_OF_RASTER : GDAL_OF_VECTOR;
    GDALDriverH format = GDALIdentifyDriverEx(path.c_str(), flags, nullptr, nullptr);
    if (format && !GDALIdentifyDriverEx(path.c_str(), flags, allowed, nullptr))
        return {Failure::input,
                fmt::format("it is a {} file, which may point to data elsewhere",
                            GDALGetDriverShortName(format)),
                path, or_trust("convert it, or ", key)};
    return {Failure::input, fmt::format("no {} that can be read: {}", what, reason), path,
            fmt::format("check {}.path with {}", key, tool)};
}

} // namespace

void require_regular_files(const std::filesystem::path& input, const std::string& key)
{
    const auto require = [&](const std::filesystem::path& file) {
        if (const std::string_view special = special_file(file); !special.empty())
            throw Error{Failure::input,
                        fmt::format("it is {}, not a file that can be read", special),
                        file.string(),
                        (file == input ? "name a file with "
                                       : "take it away: it would be read together with ") +
                            key + ".path"};
    };
    require(input);
    std::error_code ignored; // no folder: opening says so
    const bool is_folder = std::filesystem::is_directory(input, ignored);
    const std::filesystem::path folder =
        is_folder ? input : std::filesystem::absolute(input, ignored).parent_path();
    for (const auto& entry : std::filesystem::directory_iterator{folder, ignored})
        if (is_folder || may_be_read_with(entry.path().filename().string(), input))
            require(entry.path());
}

DatasetPtr open_input(const std::string& path, InputKind kind, bool remote_allowed,
                      const std::string& key, TextBytes texts)
{
    if (!remote_allowed && is_connection_string(path))
        throw Error{Failure::input, "no plain local file", path, or_trust("", key)};
    if (!is_connection_string(path))
        require_regular_files(path, key);
    const bool raster = kind == InputKind::raster;
    const unsigned flags =
        (raster ? GDAL_OF_RASTER : GDAL_OF_VECTOR) | GDAL_OF_READONLY | GDAL_OF_VERBOSE_ERROR;
    if (raster && !remote_allowed)
        require_plain_companions(path, key);
    if (!raster && !is_connection_string(path))
        require_no_utf16(path);
    const UntrustedSql sql{!remote_allowed};
    std::optional<RefusedFetch> refused;
    if (!remote_allowed)
        refused.emplace();
    const char* const* allowed = raster ? raster_drivers : vector_drivers;
    if (remote_allowed)
        allowed = nullptr;
    const char* const* options = options_of(key, texts);
    const ServerWait wait{path, key};
    CPLErrorReset();
    DatasetPtr dataset{
        GDALOpenEx(path.c_str(), flags, allowed, raster ? nullptr : options, nullptr)};
    if (!dataset)
        throw not_opened(path, kind, allowed, gdal_reason(), key);
    if (refused && !refused->url().empty()) // such as its CRS
        throw Error{Failure::input, "a part of it lies elsewhere: " + refused->url(), path,
                    or_trust("convert it, or ", key)};
    return dataset;
}

DatasetPtr open_own(const std::filesystem::path& file, const char* driver, InputKind kind)
{
    const std::array<const char*, 2> drivers = {driver, nullptr};
    const unsigned flags = kind == InputKind::raster ? GDAL_OF_RASTER : GDAL_OF_VECTOR;
    return DatasetPtr{
        GDALOpenEx(file.c_str(), flags | GDAL_OF_READONLY, drivers.data(), nullptr, nullptr)};
}

bool is_known_crs(const OGRSpatialReference* srs)
{
    if (!srs || srs->IsEmpty() || srs->IsLocal())
        return false;
    const char* name = srs->GetName();
    return !(name && std::string_view{name}.starts_with("Undefined "));
}

Crs crs_of_input(const OGRSpatialReference* in_file, const std::string& fallback,
                 const std::string& path, const std::string& setting)
{
    if (is_known_crs(in_file))
        return Crs::from_srs(*in_file);
    if (fallback.empty())
        throw Error{Failure::input, "the file has no coordinate reference system", path,
                    setting.starts_with("--")
                        ? fmt::format("name it with {} EPSG:...", setting)
                        : fmt::format("set it in the configuration: {} = \"EPSG:...\"", setting)};
    return Crs::from_user_input(fallback, setting);
}

} // namespace fuelring
