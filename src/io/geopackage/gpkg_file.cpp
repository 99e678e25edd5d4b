// SPDX-License-Identifier: Apache-2.0

// How silence is ruled out: every row goes into a digest as it is handed to GDAL, and into another
// as it is read from the finished file; both must be equal, layer by layer. SQLite's journal and
// its own fsync are off, since a file that was not finished goes away as a whole and one fsync at
// the end does for all of it.
#include "io/geopackage/gpkg_file.hpp"

#include "base/program/durable_file.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <ogr_spatialref.h>

#include <array>
#include <cerrno>
#include <system_error>
#include <utility>

namespace fuelring {

namespace {

constexpr const char* fixed_date = "2000-01-01T00:00:00.000Z";
constexpr const char* about_item = "CAUTION";

/// SQLite has words of its own for a full disk; every other file says it in the system's.
std::string in_words_of_the_system(const std::string& reason)
{
    const bool full = reason.find("database or disk is full") != std::string::npos;
    return full ? reason + ": " + std::generic_category().message(ENOSPC) : reason;
}

void set_value(OGRFeatureH feature, int field, const GpkgValue& value)
{
    if (const auto* text = std::get_if<std::string>(&value))
        OGR_F_SetFieldString(feature, field, text->c_str());
    else if (const auto* whole = std::get_if<std::int64_t>(&value))
        OGR_F_SetFieldInteger64(feature, field, *whole);
    else if (const auto* real = std::get_if<double>(&value))
        OGR_F_SetFieldDouble(feature, field, *real);
    else
        OGR_F_SetFieldNull(feature, field);
}

OGRFieldType type_of(const GpkgField& field)
{
    switch (field.type) {
    case GpkgField::Type::text:
        return OFTString;
    case GpkgField::Type::integer:
        return OFTInteger64;
    case GpkgField::Type::moment:
        return OFTDateTime;
    default:
        return OFTReal;
    }
}

template <typename T>
void append(std::string& bytes, const T& value)
{
    bytes.append(reinterpret_cast<const char*>(&value), sizeof value);
}

/// The values and the shape of a row, for a digest: in one piece, since a digest takes as long for
/// a number as for a line of text.
void read_row(OGRFeatureH row, std::string& bytes)
{
    bytes.clear();
    const int fields = OGR_F_GetFieldCount(row);
    for (int k = 0; k < fields; ++k) {
        if (!OGR_F_IsFieldSetAndNotNull(row, k)) {
            bytes += '-';
            continue;
        }
        switch (OGR_Fld_GetType(OGR_F_GetFieldDefnRef(row, k))) {
        case OFTInteger64:
            append(bytes, OGR_F_GetFieldAsInteger64(row, k));
            break;
        case OFTReal:
            append(bytes, OGR_F_GetFieldAsDouble(row, k) + 0.0); // SQLite keeps -0 as 0
            break;
        default:
            bytes += OGR_F_GetFieldAsString(row, k);
            bytes += '\0'; // the end of a text is part of it
        }
    }
    OGRGeometryH shape = OGR_F_GetGeometryRef(row);
    if (!shape) {
        bytes += '-';
        return;
    }
    // GDAL's own WKB of both, so that only what it read back can make a difference.
    const std::size_t at = bytes.size();
    bytes.resize(at + static_cast<std::size_t>(OGR_G_WkbSize(shape)));
    OGR_G_ExportToWkb(shape, wkbNDR, reinterpret_cast<unsigned char*>(bytes.data() + at));
}

std::string remedy_for(const std::string& reason)
{
    return reason.find("full") != std::string::npos
               ? "make room on this file system (df -h, df -i) and run again"
               : "check the room on the disk and its limits (df -h, ulimit -f), then run again";
}

/// The one value that `sql` gives, as text.
std::string answer(GDALDatasetH file, const std::string& sql)
{
    OGRLayerH result = GDALDatasetExecuteSQL(file, sql.c_str(), nullptr, nullptr);
    if (!result)
        return {};
    std::string text;
    if (const FeaturePtr row{OGR_L_GetNextFeature(result)})
        text = OGR_F_GetFieldAsString(row.get(), 0);
    GDALDatasetReleaseResultSet(file, result);
    return text;
}

} // namespace

GdalThreadOption::GdalThreadOption(const char* key, const char* value) : key_(key)
{
    if (const char* old = CPLGetThreadLocalConfigOption(key, nullptr)) {
        had_ = true;
        old_ = old;
    }
    CPLSetThreadLocalConfigOption(key, value);
}

GdalThreadOption::~GdalThreadOption()
{
    CPLSetThreadLocalConfigOption(key_, had_ ? old_.c_str() : nullptr);
}

GpkgFile::GpkgFile(std::filesystem::path path, const Crs& crs, std::string about,
                   std::function<void(std::int64_t rows)> on_rows)
    : draft_{std::move(path)}, crs_(crs), about_(std::move(about)),
      date_("OGR_CURRENT_DATE", fixed_date), journal_("OGR_SQLITE_JOURNAL", "OFF"),
      synchronous_("OGR_SQLITE_SYNCHRONOUS", "OFF"),
      threaded_index_("OGR_GPKG_ALLOW_THREADED_RTREE", "NO"), on_rows_(std::move(on_rows))
{
    draft_.kept = std::filesystem::exists(draft_.path); // not ours
    if (draft_.kept)
        throw output_error("the file cannot be made", draft_.path, EEXIST);
    file_.reset(GDALCreate(GDALGetDriverByName("GPKG"), draft_.path.c_str(), 0, 0, 0, GDT_Unknown,
                           nullptr));
    require(file_ != nullptr);
    require(GDALDatasetStartTransaction(file_.get(), FALSE) == OGRERR_NONE);
}

GpkgFile::Draft::~Draft()
{
    std::error_code ignored; // what went wrong before is the error to tell
    if (!kept)
        std::filesystem::remove(path, ignored);
}

/// GDAL may say success and have failed: its reports count as well as its returns.
void GpkgFile::require(bool ok) const
{
    if (!ok || errors_.failures() > 0)
        throw Error{Failure::output,
                    "the file cannot be written: " + in_words_of_the_system(errors_.reason()),
                    draft_.path.string(), remedy_for(errors_.reason())};
}

void GpkgFile::begin_layer(const std::string& name, Shape shape,
                           const std::vector<GpkgField>& fields)
{
    OGRSpatialReferenceH srs = nullptr;
    if (!crs_.empty()) // GDAL's C interface takes no const handle, and only reads it
        srs = OGRSpatialReference::ToHandle(const_cast<OGRSpatialReference*>(&crs_.srs()));
    const OGRwkbGeometryType type = shape == Shape::point          ? wkbPoint
                                    : shape == Shape::multipolygon ? wkbMultiPolygon
                                                                   : wkbNone;
    const CslPtr options{CSLSetNameValue(nullptr, "DESCRIPTION", about_.c_str())};
    const bool is_plain = shape == Shape::none; // styles, which nobody reads
    OGRLayerH layer = GDALDatasetCreateLayer(file_.get(), name.c_str(), is_plain ? nullptr : srs,
                                             type, is_plain ? nullptr : options.get());
    require(layer != nullptr);
    for (const GpkgField& field : fields) {
        const FieldDefnPtr definition{OGR_Fld_Create(field.name.c_str(), type_of(field))};
        require(OGR_L_CreateField(layer, definition.get(), FALSE) == OGRERR_NONE);
    }
    layers_.push_back({name, layer, shape, fields, 0, {}});
}

void GpkgFile::add_row(const std::vector<GpkgValue>& values, const std::string& wkb)
{
    Layer& layer = layers_.back();
    const FeaturePtr feature{OGR_F_Create(OGR_L_GetLayerDefn(layer.handle))};
    for (std::size_t k = 0; k < values.size(); ++k)
        set_value(feature.get(), static_cast<int>(k), values[k]);
    if (!wkb.empty()) {
        OGRGeometryH shape = nullptr;
        require(OGR_G_CreateFromWkb(wkb.data(), nullptr, &shape, static_cast<int>(wkb.size())) ==
                OGRERR_NONE);
        require(OGR_F_SetGeometryDirectly(feature.get(), shape) == OGRERR_NONE);
    }
    read_row(feature.get(), row_bytes_);
    layer.added.add(row_bytes_);
    require(OGR_L_CreateFeature(layer.handle, feature.get()) == OGRERR_NONE);
    ++layer.rows;
    say_rows(layer.rows);
}

/// Every thousandth row; what is left over is too little to tell.
void GpkgFile::say_rows(std::int64_t rows) const
{
    constexpr std::int64_t at_a_time = 1000;
    if (on_rows_ && rows % at_a_time == 0)
        on_rows_(at_a_time);
}

void GpkgFile::finish()
{
    // The R-trees are made when the transaction ends: before anything else is written.
    require(GDALDatasetCommitTransaction(file_.get()) == OGRERR_NONE);
    require(GDALSetMetadataItem(file_.get(), about_item, about_.c_str(), nullptr) == CE_None);
    GDALFlushCache(file_.get());
    require(GDALDatasetStartTransaction(file_.get(), FALSE) == OGRERR_NONE);
    add_aliases();
    add_styles();
    require(GDALDatasetCommitTransaction(file_.get()) == OGRERR_NONE);
    // GDAL writes its last pages here; what fails is in errors_ alone.
    file_.reset();
    require(true);
    sync_to_disk(draft_.path);
    require_sound();
    draft_.kept = true;
}

Error GpkgFile::damaged(const std::string& what) const
{
    return Error{Failure::output, "the GeoPackage on the disk is damaged: " + what,
                 draft_.path.string(), "check the disk, then run again"};
}

void GpkgFile::require_sound()
{
    const std::array<const char*, 2> drivers = {"GPKG", nullptr};
    const DatasetPtr file{GDALOpenEx(draft_.path.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY,
                                     drivers.data(), nullptr, nullptr)};
    if (!file)
        throw damaged(errors_.reason());
    if (const std::string verdict = answer(file.get(), "PRAGMA integrity_check"); verdict != "ok")
        throw damaged(verdict);
    const char* about = GDALGetMetadataItem(file.get(), about_item, nullptr);
    if (!about || about_ != about)
        throw damaged("its metadata differ from what was written");
    for (Layer& layer : layers_)
        require_same_rows(file.get(), layer);
    require_aliases(file.get());
    if (errors_.failures() > 0)
        throw damaged(errors_.reason());
}

void GpkgFile::require_same_rows(GDALDatasetH file, Layer& layer) const
{
    OGRLayerH read = GDALDatasetGetLayerByName(file, layer.name.c_str());
    if (!read)
        throw damaged(fmt::format("layer {} is missing", layer.name));
    Digester digest;
    std::string bytes;
    std::int64_t rows = 0;
    for (FeaturePtr row{OGR_L_GetNextFeature(read)}; row; row.reset(OGR_L_GetNextFeature(read))) {
        read_row(row.get(), bytes);
        digest.add(bytes);
        ++rows;
        say_rows(rows);
    }
    if (rows != layer.rows)
        throw damaged(fmt::format("layer {} has {} rows, not {}", layer.name, rows, layer.rows));
    if (digest.finish() != layer.added.finish())
        throw damaged(fmt::format("rows of layer {} differ from what was written", layer.name));
}

} // namespace fuelring
