// SPDX-License-Identifier: Apache-2.0
#include "support/make_inputs.hpp"

#include "io/gdal/handles.hpp"
#include "support/temp_folder.hpp"

#include <cpl_error.h>
#include <fmt/format.h>
#include <gdal_utils.h>

#include <stdexcept>

namespace fuelring::test {

namespace {

void require(bool done, const std::string& what)
{
    if (!done)
        throw std::runtime_error{"the test's input could not be made: " + what};
}

SrsPtr srs_of(int epsg)
{
    if (epsg == 0)
        return nullptr;
    SrsPtr srs{OSRNewSpatialReference(nullptr)};
    require(OSRImportFromEPSG(srs.get(), epsg) == OGRERR_NONE, fmt::format("EPSG:{}", epsg));
    OSRSetAxisMappingStrategy(srs.get(), OAMS_TRADITIONAL_GIS_ORDER);
    return srs;
}

DatasetPtr open_to_change(const std::filesystem::path& file, unsigned kind)
{
    GDALAllRegister();
    DatasetPtr data{GDALOpenEx(file.c_str(), kind | GDAL_OF_UPDATE, nullptr, nullptr, nullptr)};
    require(data != nullptr, file.string());
    return data;
}

void move_north(OGRGeometryH shape, double metres)
{
    for (int k = 0; k < OGR_G_GetGeometryCount(shape); ++k)
        move_north(OGR_G_GetGeometryRef(shape, k), metres);
    if (OGR_G_GetGeometryCount(shape) > 0)
        return;
    for (int k = 0; k < OGR_G_GetPointCount(shape); ++k)
        OGR_G_SetPoint_2D(shape, k, OGR_G_GetX(shape, k), OGR_G_GetY(shape, k) + metres);
}

void add_shape(OGRLayerH layer, const Shape& shape)
{
    const FeaturePtr feature{OGR_F_Create(OGR_L_GetLayerDefn(layer))};
    OGR_F_SetFieldString(feature.get(), 0, shape.text.c_str());
    OGRGeometryH geometry = nullptr;
    std::string wkt = shape.wkt;
    char* text = wkt.data();
    require(OGR_G_CreateFromWkt(&text, nullptr, &geometry) == OGRERR_NONE, shape.wkt);
    OGR_F_SetGeometryDirectly(feature.get(), geometry);
    require(OGR_L_CreateFeature(layer, feature.get()) == OGRERR_NONE, shape.text);
}

} // namespace

void make_fuel(const std::filesystem::path& file, const FuelFile& fuel)
{
    GDALAllRegister();
    std::vector<std::uint8_t> codes;
    codes.reserve(static_cast<std::size_t>(fuel.cols * fuel.rows));
    for (std::int64_t row = 0; row < fuel.rows; ++row)
        for (std::int64_t col = 0; col < fuel.cols; ++col)
            codes.push_back(static_cast<std::uint8_t>(fuel.code_at(row, col)));
    const int cols = static_cast<int>(fuel.cols);
    const int rows = static_cast<int>(fuel.rows);
    std::array<std::string, 2> options{"COMPRESS=DEFLATE", "TILED=YES"};
    std::array<char*, 3> list{options[0].data(), options[1].data(), nullptr};
    const DatasetPtr data{GDALCreate(GDALGetDriverByName("GTiff"), file.c_str(), cols, rows, 1,
                                     GDT_Byte, list.data())};
    require(data != nullptr, file.string());
    std::array<double, 6> transform = fuel.transform;
    GDALSetGeoTransform(data.get(), transform.data());
    if (const SrsPtr srs = srs_of(fuel.epsg))
        GDALSetSpatialRef(data.get(), srs.get());
    GDALRasterBandH band = GDALGetRasterBand(data.get(), 1);
    GDALSetRasterNoDataValue(band, no_data);
    require(GDALRasterIO(band, GF_Write, 0, 0, cols, rows, codes.data(), cols, rows, GDT_Byte, 0,
                         0) == CE_None,
            file.string());
}

void make_elevation(const std::filesystem::path& file, const ElevationFile& elevation)
{
    GDALAllRegister();
    const SrsPtr srs = srs_of(elevation.epsg);
    const SrsPtr heights_in = srs_of(elevation.heights_in);
    const TransformPtr to_heights{OCTNewCoordinateTransformation(srs.get(), heights_in.get())};
    require(to_heights != nullptr, file.string());
    const auto& g = elevation.transform;
    std::vector<double> heights;
    for (std::int64_t row = 0; row < elevation.rows; ++row)
        for (std::int64_t col = 0; col < elevation.cols; ++col) {
            const double c = static_cast<double>(col) + 0.5;
            const double r = static_cast<double>(row) + 0.5;
            double x = g[0] + g[1] * c + g[2] * r;
            double y = g[3] + g[4] * c + g[5] * r;
            require(OCTTransform(to_heights.get(), 1, &x, &y, nullptr) != 0, file.string());
            heights.push_back(elevation.height_at(x, y));
        }
    const int cols = static_cast<int>(elevation.cols);
    const int rows = static_cast<int>(elevation.rows);
    std::array<std::string, 3> options{"TILED=YES", "BLOCKXSIZE=16", "BLOCKYSIZE=16"};
    std::array<char*, 4> list{options[0].data(), options[1].data(), options[2].data(), nullptr};
    const DatasetPtr data{GDALCreate(GDALGetDriverByName("GTiff"), file.c_str(), cols, rows, 1,
                                     GDT_Float64, list.data())};
    require(data != nullptr, file.string());
    std::array<double, 6> transform = g;
    GDALSetGeoTransform(data.get(), transform.data());
    GDALSetSpatialRef(data.get(), srs.get());
    GDALRasterBandH band = GDALGetRasterBand(data.get(), 1);
    if (!elevation.unit.empty())
        GDALSetRasterUnitType(band, elevation.unit.c_str());
    require(GDALRasterIO(band, GF_Write, 0, 0, cols, rows, heights.data(), cols, rows, GDT_Float64,
                         0, 0) == CE_None,
            file.string());
}

std::string rectangle_wkt(double x0, double y0, double x1, double y1)
{
    return fmt::format("POLYGON (({0} {1}, {2} {1}, {2} {3}, {0} {3}, {0} {1}))", x0, y0, x1, y1);
}

void make_layer(const std::filesystem::path& file, const char* driver, const std::string& column,
                int epsg, const std::vector<Shape>& shapes)
{
    GDALAllRegister();
    const DatasetPtr data{
        GDALCreate(GDALGetDriverByName(driver), file.c_str(), 0, 0, 0, GDT_Unknown, nullptr)};
    require(data != nullptr, file.string());
    const SrsPtr srs = srs_of(epsg);
    OGRLayerH layer =
        GDALDatasetCreateLayer(data.get(), file.stem().c_str(), srs.get(), wkbUnknown, nullptr);
    require(layer != nullptr, file.string());
    const FieldDefnPtr field{OGR_Fld_Create(column.c_str(), OFTString)};
    OGR_L_CreateField(layer, field.get(), 1);
    for (const Shape& shape : shapes)
        add_shape(layer, shape);
}

void set_cell(const std::filesystem::path& fuel, std::int64_t row, std::int64_t col, Code code)
{
    const DatasetPtr data = open_to_change(fuel, GDAL_OF_RASTER);
    auto value = static_cast<std::uint8_t>(code);
    require(GDALRasterIO(GDALGetRasterBand(data.get(), 1), GF_Write, static_cast<int>(col),
                         static_cast<int>(row), 1, 1, &value, 1, 1, GDT_Byte, 0, 0) == CE_None,
            fuel.string());
}

void move_raster_north(const std::filesystem::path& raster, double metres)
{
    const DatasetPtr data = open_to_change(raster, GDAL_OF_RASTER);
    std::array<double, 6> transform{};
    GDALGetGeoTransform(data.get(), transform.data());
    transform[3] += metres;
    require(GDALSetGeoTransform(data.get(), transform.data()) == CE_None, raster.string());
}

void move_layer_north(const std::filesystem::path& layer_file, double metres)
{
    const DatasetPtr data = open_to_change(layer_file, GDAL_OF_VECTOR);
    OGRLayerH layer = GDALDatasetGetLayer(data.get(), 0);
    std::vector<FeaturePtr> features;
    while (FeaturePtr feature{OGR_L_GetNextFeature(layer)})
        features.push_back(std::move(feature));
    require(OGR_L_StartTransaction(layer) == OGRERR_NONE, layer_file.string());
    for (const FeaturePtr& feature : features) {
        move_north(OGR_F_GetGeometryRef(feature.get()), metres);
        require(OGR_L_SetFeature(layer, feature.get()) == OGRERR_NONE, layer_file.string());
    }
    require(OGR_L_CommitTransaction(layer) == OGRERR_NONE, layer_file.string());
}

void reproject_layer(const std::filesystem::path& from, const std::filesystem::path& to,
                     const char* driver, int epsg)
{
    DatasetPtr source = open_to_change(from, GDAL_OF_VECTOR);
    std::string code = fmt::format("EPSG:{}", epsg);
    std::string format{driver};
    std::string f{"-f"};
    std::string t{"-t_srs"};
    std::array<char*, 5> words{f.data(), format.data(), t.data(), code.data(), nullptr};
    GDALVectorTranslateOptions* options = GDALVectorTranslateOptionsNew(words.data(), nullptr);
    GDALDatasetH handle = source.get();
    int wrong = 0;
    CPLPushErrorHandler(CPLQuietErrorHandler); // names cut to ten letters are meant
    const DatasetPtr made{GDALVectorTranslate(to.c_str(), nullptr, 1, &handle, options, &wrong)};
    CPLPopErrorHandler();
    GDALVectorTranslateOptionsFree(options);
    require(made != nullptr && wrong == 0, to.string());
}

void run_sql(const std::filesystem::path& geopackage, const std::string& statement)
{
    const DatasetPtr file = open_to_change(geopackage, GDAL_OF_VECTOR);
    CPLErrorReset();
    OGRLayerH result = GDALDatasetExecuteSQL(file.get(), statement.c_str(), nullptr, nullptr);
    if (result)
        GDALDatasetReleaseResultSet(file.get(), result);
    require(CPLGetLastErrorType() < CE_Failure, statement);
}

} // namespace fuelring::test
