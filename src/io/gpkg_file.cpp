// SPDX-License-Identifier: Apache-2.0
#include "io/gpkg_file.hpp"

#include "io/durable_file.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <ogr_spatialref.h>

#include <array>
#include <utility>

namespace fuelring {

namespace {

constexpr const char* fixed_date = "2000-01-01T00:00:00.000Z";

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
    default:
        return OFTReal;
    }
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

GpkgFile::GpkgFile(std::filesystem::path path, const Crs& crs)
    : path_(std::move(path)), memory_name_(fmt::format("/vsimem/fuelring_{}.gpkg", fmt::ptr(this))),
      crs_(crs), date_("OGR_CURRENT_DATE", fixed_date), journal_("OGR_SQLITE_JOURNAL", "OFF")
{
    file_.reset(GDALCreate(GDALGetDriverByName("GPKG"), memory_name_.c_str(), 0, 0, 0, GDT_Unknown,
                           nullptr));
    require(file_ != nullptr);
    require(GDALDatasetStartTransaction(file_.get(), FALSE) == OGRERR_NONE);
}

GpkgFile::~GpkgFile()
{
    file_.reset();
    VSIUnlink(memory_name_.c_str());
}

/// GDAL may say success and have failed: its reports count as well as its returns.
void GpkgFile::require(bool ok) const
{
    if (!ok || errors_.failures() > 0)
        throw Error{Failure::output, "the GeoPackage cannot be made: " + errors_.reason(),
                    path_.string(), "check the memory of this machine and run again"};
}

void GpkgFile::begin_layer(const std::string& name, Shape shape,
                           const std::vector<GpkgField>& fields)
{
    OGRSpatialReferenceH srs = nullptr;
    if (!crs_.empty()) // GDAL's C interface takes no const handle, and only reads it
        srs = OGRSpatialReference::ToHandle(const_cast<OGRSpatialReference*>(&crs_.srs()));
    OGRLayerH layer =
        GDALDatasetCreateLayer(file_.get(), name.c_str(), srs,
                               shape == Shape::point ? wkbPoint : wkbMultiPolygon, nullptr);
    require(layer != nullptr);
    for (const GpkgField& field : fields) {
        const FieldDefnPtr definition{OGR_Fld_Create(field.name.c_str(), type_of(field))};
        require(OGR_L_CreateField(layer, definition.get(), FALSE) == OGRERR_NONE);
    }
    layers_.push_back({name, layer, 0});
}

void GpkgFile::add_row(const std::vector<GpkgValue>& values, const std::string& wkb)
{
    Layer& layer = layers_.back();
    const FeaturePtr feature{OGR_F_Create(OGR_L_GetLayerDefn(layer.handle))};
    for (std::size_t k = 0; k < values.size(); ++k)
        set_value(feature.get(), static_cast<int>(k), values[k]);
    OGRGeometryH shape = nullptr;
    require(OGR_G_CreateFromWkb(wkb.data(), nullptr, &shape, static_cast<int>(wkb.size())) ==
            OGRERR_NONE);
    require(OGR_F_SetGeometryDirectly(feature.get(), shape) == OGRERR_NONE);
    require(OGR_L_CreateFeature(layer.handle, feature.get()) == OGRERR_NONE);
    ++layer.rows;
}

void GpkgFile::finish()
{
    require(GDALDatasetCommitTransaction(file_.get()) == OGRERR_NONE);
    file_.reset();
    require(true);
    vsi_l_offset size = 0;
    const GByte* bytes = VSIGetMemFileBuffer(memory_name_.c_str(), &size, FALSE);
    require(bytes != nullptr && size > 0);
    write_durably(path_, {reinterpret_cast<const char*>(bytes), static_cast<std::size_t>(size)});
    VSIUnlink(memory_name_.c_str());
    try {
        require_sound();
    } catch (...) {
        std::error_code ignored; // what was found wrong is the error to tell
        std::filesystem::remove(path_, ignored);
        throw;
    }
}

void GpkgFile::require_sound() const
{
    const auto unsound = [this](const std::string& what) {
        return Error{Failure::output, "the GeoPackage on the disk is damaged: " + what,
                     path_.string(), "check the disk, then run again"};
    };
    const std::array<const char*, 2> drivers = {"GPKG", nullptr};
    const DatasetPtr file{GDALOpenEx(path_.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY,
                                     drivers.data(), nullptr, nullptr)};
    if (!file)
        throw unsound(errors_.reason());
    if (const std::string verdict = answer(file.get(), "PRAGMA integrity_check"); verdict != "ok")
        throw unsound(verdict);
    for (const Layer& layer : layers_) {
        const std::string rows =
            answer(file.get(), fmt::format("SELECT COUNT(*) FROM \"{}\"", layer.name));
        if (rows != std::to_string(layer.rows))
            throw unsound(
                fmt::format("layer {} has {} rows, not {}", layer.name, rows, layer.rows));
    }
    if (errors_.failures() > 0)
        throw unsound(errors_.reason());
}

} // namespace fuelring
