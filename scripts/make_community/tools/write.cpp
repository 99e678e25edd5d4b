// SPDX-License-Identifier: Apache-2.0
#include "tools/write.hpp"

#include <cpl_conv.h>
#include <cpl_error.h>
#include <gdal.h>
#include <ogr_api.h>
#include <ogr_srs_api.h>

#include <algorithm>
#include <stdexcept>

namespace community {
namespace {

struct DatasetClose {
    void operator()(GDALDatasetH dataset) const noexcept { GDALClose(dataset); }
};
using DatasetPtr = std::unique_ptr<void, DatasetClose>;
struct GeometryDestroy {
    void operator()(void* geometry) const noexcept
    {
        OGR_G_DestroyGeometry(static_cast<OGRGeometryH>(geometry));
    }
};
using GeometryPtr = std::unique_ptr<void, GeometryDestroy>;
struct FeatureDestroy {
    void operator()(void* feature) const noexcept
    {
        OGR_F_Destroy(static_cast<OGRFeatureH>(feature));
    }
};
using FeaturePtr = std::unique_ptr<void, FeatureDestroy>;
struct SrsRelease {
    void operator()(void* srs) const noexcept
    {
        OSRRelease(static_cast<OGRSpatialReferenceH>(srs));
    }
};
using SrsPtr = std::unique_ptr<void, SrsRelease>;

OGRGeometryH raw(const GeometryPtr& geometry)
{
    return static_cast<OGRGeometryH>(geometry.get());
}

void require(bool ok, const std::string& what)
{
    if (!ok)
        throw std::runtime_error(what + ": " + CPLGetLastErrorMsg());
}

SrsPtr community_crs()
{
    SrsPtr srs{OSRNewSpatialReference(nullptr)};
    auto* const handle = static_cast<OGRSpatialReferenceH>(srs.get());
    require(OSRImportFromEPSG(handle, crs_epsg) == OGRERR_NONE, "EPSG:32611");
    OSRSetAxisMappingStrategy(handle, OAMS_TRADITIONAL_GIS_ORDER);
    return srs;
}

GeometryPtr polygon_geometry(const Polygon& polygon)
{
    GeometryPtr geometry{OGR_G_CreateGeometry(wkbPolygon)};
    for (const Ring& ring : polygon) {
        OGRGeometryH line = OGR_G_CreateGeometry(wkbLinearRing);
        for (std::size_t i = 0; i <= ring.size(); ++i) {
            const Point p = ring[i % ring.size()];
            OGR_G_AddPoint_2D(line, origin_x_m + p.x, origin_y_m + p.y);
        }
        OGR_G_AddGeometryDirectly(raw(geometry), line);
    }
    return geometry;
}

/// A polygon, or a multipolygon where there are several parts.
GeometryPtr area_geometry(const std::vector<Polygon>& parts)
{
    if (parts.size() == 1)
        return polygon_geometry(parts[0]);
    GeometryPtr geometry{OGR_G_CreateGeometry(wkbMultiPolygon)};
    for (const Polygon& part : parts)
        OGR_G_AddGeometryDirectly(raw(geometry),
                                  static_cast<OGRGeometryH>(polygon_geometry(part).release()));
    return geometry;
}

Ring ring_of(OGRGeometryH line)
{
    Ring ring;
    for (int i = 0; i + 1 < OGR_G_GetPointCount(line); ++i)
        ring.push_back({OGR_G_GetX(line, i) - origin_x_m, OGR_G_GetY(line, i) - origin_y_m});
    return ring;
}

void collect_polygons(OGRGeometryH geometry, std::vector<Polygon>& out)
{
    const OGRwkbGeometryType type = wkbFlatten(OGR_G_GetGeometryType(geometry));
    if (type == wkbMultiPolygon || type == wkbGeometryCollection)
        for (int i = 0; i < OGR_G_GetGeometryCount(geometry); ++i)
            collect_polygons(OGR_G_GetGeometryRef(geometry, i), out);
    if (type != wkbPolygon || OGR_G_Area(geometry) < 0.05)
        return;
    Polygon polygon;
    for (int i = 0; i < OGR_G_GetGeometryCount(geometry); ++i)
        if (Ring ring = ring_of(OGR_G_GetGeometryRef(geometry, i));
            std::abs(signed_area_m2(ring)) > 1e-3) // no hole is a hair
            polygon.push_back(std::move(ring));
    out.push_back(std::move(polygon));
}

/// Areas may overlap and, where a band turns sharply, cross themselves.
GeometryPtr united(const std::vector<Polygon>& areas)
{
    GeometryPtr all{OGR_G_CreateGeometry(wkbPolygon)};
    for (const Polygon& area : areas) {
        const GeometryPtr valid{OGR_G_MakeValid(raw(polygon_geometry(area)))};
        require(valid != nullptr, "repair of an area");
        all.reset(OGR_G_Union(raw(all), raw(valid)));
        require(all != nullptr, "union of areas");
    }
    return all;
}

DatasetPtr create_geotiff(const std::filesystem::path& file, int cols, int rows, double cell_m,
                          GDALDataType type, std::vector<std::string> options, int bands = 1)
{
    std::vector<char*> list;
    for (std::string& option : options)
        list.push_back(option.data());
    list.push_back(nullptr);
    CPLErrorReset();
    DatasetPtr dataset{GDALCreate(GDALGetDriverByName("GTiff"), file.string().c_str(), cols, rows,
                                  bands, type, list.data())};
    require(dataset != nullptr, file.string());
    double transform[6] = {origin_x_m, cell_m, 0, origin_y_m + cell_m * rows, 0, -cell_m};
    GDALSetGeoTransform(dataset.get(), transform);
    GDALSetSpatialRef(dataset.get(), static_cast<OGRSpatialReferenceH>(community_crs().get()));
    return dataset;
}

void finish_dataset(DatasetPtr& dataset, const std::string& name)
{
    CPLErrorReset();
    dataset.reset();
    require(CPLGetLastErrorType() < CE_Failure, name);
}

} // namespace

struct LayerFile::State {
    std::string name;
    DatasetPtr dataset;
    OGRLayerH layer = nullptr;

    void add(const std::vector<std::string>& values, const GeometryPtr& geometry) const
    {
        FeaturePtr feature{OGR_F_Create(OGR_L_GetLayerDefn(layer))};
        auto* const handle = static_cast<OGRFeatureH>(feature.get());
        for (std::size_t i = 0; i < values.size(); ++i)
            OGR_F_SetFieldString(handle, static_cast<int>(i), values[i].c_str());
        OGR_F_SetGeometry(handle, raw(geometry));
        require(OGR_L_CreateFeature(layer, handle) == OGRERR_NONE, name);
    }
};

LayerFile::LayerFile(const std::filesystem::path& file, const std::string& layer, Kind kind,
                     std::vector<std::string> columns, const std::vector<std::string>& numbers)
    : state_(std::make_unique<State>())
{
    std::filesystem::remove(file);
    state_->name = file.string();
    CPLErrorReset();
    state_->dataset.reset(GDALCreate(GDALGetDriverByName("GPKG"), file.string().c_str(), 0, 0, 0,
                                     GDT_Unknown, nullptr));
    require(state_->dataset != nullptr, state_->name);
    const SrsPtr srs = community_crs();
    state_->layer = GDALDatasetCreateLayer(state_->dataset.get(), layer.c_str(),
                                           static_cast<OGRSpatialReferenceH>(srs.get()),
                                           kind == Kind::points ? wkbPoint : wkbUnknown, nullptr);
    require(state_->layer != nullptr, state_->name);
    for (const std::string& column : columns) {
        const bool number = std::find(numbers.begin(), numbers.end(), column) != numbers.end();
        OGRFieldDefnH field = OGR_Fld_Create(column.c_str(), number ? OFTReal : OFTString);
        OGR_L_CreateField(state_->layer, field, 1);
        OGR_Fld_Destroy(field);
    }
    GDALDatasetStartTransaction(state_->dataset.get(), 0);
}

LayerFile::~LayerFile() = default;

void LayerFile::add(const std::vector<std::string>& values, Point place)
{
    GeometryPtr point{OGR_G_CreateGeometry(wkbPoint)};
    OGR_G_SetPoint_2D(raw(point), 0, origin_x_m + place.x, origin_y_m + place.y);
    state_->add(values, point);
}

void LayerFile::add(const std::vector<std::string>& values, const std::vector<Polygon>& parts)
{
    state_->add(values, area_geometry(parts));
}

void LayerFile::finish()
{
    require(GDALDatasetCommitTransaction(state_->dataset.get()) == OGRERR_NONE, state_->name);
    finish_dataset(state_->dataset, state_->name);
}

struct FuelFile::State {
    std::string name;
    DatasetPtr dataset;
    int next_row = 0;
};

FuelFile::FuelFile(const std::filesystem::path& file, int cols, int rows, double cell_m, int level)
    : state_(std::make_unique<State>())
{
    state_->name = file.string();
    state_->dataset =
        create_geotiff(file, cols, rows, cell_m, GDT_Byte,
                       {"TILED=YES", "BLOCKXSIZE=512", "BLOCKYSIZE=512", "COMPRESS=DEFLATE",
                        "ZLEVEL=" + std::to_string(level), "BIGTIFF=IF_SAFER"});
    GDALSetRasterNoDataValue(GDALGetRasterBand(state_->dataset.get(), 1), no_data);
}

FuelFile::~FuelFile() = default;

void FuelFile::write(const Canvas& strip)
{
    auto* const cells = const_cast<std::uint8_t*>(strip.codes.data()); // GDAL reads only
    require(GDALRasterIO(GDALGetRasterBand(state_->dataset.get(), 1), GF_Write, 0, state_->next_row,
                         strip.cols, strip.rows, cells, strip.cols, strip.rows, GDT_Byte, 0,
                         0) == CE_None,
            state_->name);
    state_->next_row += strip.rows;
}

void FuelFile::finish()
{
    finish_dataset(state_->dataset, state_->name);
}

void write_elevation(const std::filesystem::path& file, int cols, int rows, double cell_m,
                     std::vector<float> heights_m)
{
    for (float& height : heights_m)
        height = std::round(height * 64) / 64;
    DatasetPtr dataset =
        create_geotiff(file, cols, rows, cell_m, GDT_Float32,
                       {"TILED=YES", "COMPRESS=DEFLATE", "PREDICTOR=3", "ZLEVEL=9"});
    GDALRasterBandH band = GDALGetRasterBand(dataset.get(), 1);
    GDALSetRasterUnitType(band, "metre");
    require(GDALRasterIO(band, GF_Write, 0, 0, cols, rows, heights_m.data(), cols, rows,
                         GDT_Float32, 0, 0) == CE_None,
            file.string());
    finish_dataset(dataset, file.string());
}

void write_image(const std::filesystem::path& file, const ImagePlace& place,
                 const std::vector<std::vector<std::uint8_t>>& bands, double scale, double offset)
{
    DatasetPtr dataset = create_geotiff(
        file, place.cols, place.rows, 1, GDT_Byte,
        {"TILED=YES", "COMPRESS=DEFLATE", "PREDICTOR=2", "ZLEVEL=9", "INTERLEAVE=BAND"},
        static_cast<int>(bands.size()));
    double transform[6] = {origin_x_m + place.west_m, 1, 0, origin_y_m + place.north_m, 0, -1};
    GDALSetGeoTransform(dataset.get(), transform);
    for (std::size_t k = 0; k < bands.size(); ++k) {
        GDALRasterBandH band = GDALGetRasterBand(dataset.get(), static_cast<int>(k + 1));
        GDALSetRasterNoDataValue(band, 0);
        if (scale != 1) {
            GDALSetRasterScale(band, scale);
            GDALSetRasterOffset(band, offset);
            GDALSetRasterUnitType(band, "metre");
        }
        auto* const cells = const_cast<std::uint8_t*>(bands[k].data()); // GDAL reads only
        require(GDALRasterIO(band, GF_Write, 0, 0, place.cols, place.rows, cells, place.cols,
                             place.rows, GDT_Byte, 0, 0) == CE_None,
                file.string());
    }
    finish_dataset(dataset, file.string());
}

std::vector<Polygon> difference(const std::vector<Polygon>& from, const std::vector<Polygon>& less)
{
    GeometryPtr rest = united(from);
    if (!less.empty())
        rest.reset(OGR_G_Difference(raw(rest), raw(united(less))));
    require(rest != nullptr, "difference of areas");
    rest.reset(OGR_G_MakeValid(raw(rest))); // rings that touch themselves in a hair
    require(rest != nullptr, "repair of a difference");
    std::vector<Polygon> polygons;
    collect_polygons(raw(rest), polygons);
    return polygons;
}

} // namespace community
