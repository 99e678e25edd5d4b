// SPDX-License-Identifier: Apache-2.0
#include "data_files.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <ogrsf_frmts.h>
#include <stdlib.h>

#include <fstream>
#include <memory>

namespace fuelring::test {

namespace {

std::unique_ptr<OGRSpatialReference> srs_of(int epsg)
{
    if (epsg == 0)
        return nullptr;
    auto srs = std::make_unique<OGRSpatialReference>();
    REQUIRE(srs->importFromEPSG(epsg) == OGRERR_NONE);
    srs->SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    return srs;
}

GDALDatasetUniquePtr open_or_create(const std::string& path, const std::string& driver)
{
    if (std::filesystem::exists(path))
        return GDALDatasetUniquePtr{
            GDALDataset::Open(path.c_str(), GDAL_OF_VECTOR | GDAL_OF_UPDATE)};
    GDALDriver* maker = GetGDALDriverManager()->GetDriverByName(driver.c_str());
    return GDALDatasetUniquePtr{maker->Create(path.c_str(), 0, 0, 0, GDT_Unknown, nullptr)};
}

void add_feature(OGRLayer& layer, const FeatureSpec& spec)
{
    const OGRFeatureUniquePtr feature{OGRFeature::CreateFeature(layer.GetLayerDefn())};
    for (std::size_t k = 0; k < spec.cells.size(); ++k) {
        if (spec.cells[k])
            feature->SetField(static_cast<int>(k), spec.cells[k]->c_str());
        else
            feature->SetFieldNull(static_cast<int>(k));
    }
    if (!spec.wkt.empty()) {
        OGRGeometry* geometry = nullptr;
        REQUIRE(OGRGeometryFactory::createFromWkt(spec.wkt.c_str(), nullptr, &geometry) ==
                OGRERR_NONE);
        feature->SetGeometryDirectly(geometry);
    }
    REQUIRE(layer.CreateFeature(feature.get()) == OGRERR_NONE);
}

} // namespace

TempFolder::TempFolder()
{
    set_up_gdal();
    std::string name = (std::filesystem::temp_directory_path() / "fuelring-io-XXXXXX").string();
    REQUIRE(mkdtemp(name.data()) != nullptr);
    path_ = name;
}

TempFolder::~TempFolder()
{
    std::error_code ignored; // a destructor only cleans up
    if (!path_.empty())
        std::filesystem::remove_all(path_, ignored);
}

void write_text(const std::string& path, const std::string& text)
{
    std::ofstream{path, std::ios::binary} << text;
}

void write_raster(const std::string& path, const RasterSpec& spec, const std::vector<double>& cells)
{
    std::vector<char*> options;
    std::vector<std::string> texts = spec.options;
    for (std::string& text : texts)
        options.push_back(text.data());
    options.push_back(nullptr);
    GDALDriver* maker = GetGDALDriverManager()->GetDriverByName("GTiff");
    CPLSetThreadLocalConfigOption("GDAL_TIFF_INTERNAL_MASK", "YES");
    const GDALDatasetUniquePtr file{
        maker->Create(path.c_str(), spec.cols, spec.rows, spec.bands, spec.type, options.data())};
    REQUIRE(file);
    std::array<double, 6> geotransform = spec.geotransform;
    file->SetGeoTransform(geotransform.data());
    if (const auto srs = srs_of(spec.epsg))
        file->SetSpatialRef(srs.get());
    GDALRasterBand* band = file->GetRasterBand(1);
    if (spec.nodata)
        band->SetNoDataValue(*spec.nodata);
    if (!cells.empty()) {
        std::vector<double> all = cells;
        all.resize(static_cast<std::size_t>(spec.cols) * static_cast<std::size_t>(spec.rows));
        REQUIRE(band->RasterIO(GF_Write, 0, 0, spec.cols, spec.rows, all.data(), spec.cols,
                               spec.rows, GDT_Float64, 0, 0, nullptr) == CE_None);
    }
    if (!spec.mask.empty()) {
        std::vector<std::uint8_t> mask = spec.mask;
        REQUIRE(file->CreateMaskBand(GMF_PER_DATASET) == CE_None);
        REQUIRE(band->GetMaskBand()->RasterIO(GF_Write, 0, 0, spec.cols, spec.rows, mask.data(),
                                              spec.cols, spec.rows, GDT_Byte, 0, 0,
                                              nullptr) == CE_None);
    }
}

void write_layer(const std::string& path, const LayerSpec& spec,
                 const std::vector<FeatureSpec>& features)
{
    CPLSetThreadLocalConfigOption("OGR_SQLITE_SYNCHRONOUS", "OFF"); // no test needs the disk
    const GDALDatasetUniquePtr file = open_or_create(path, spec.driver);
    REQUIRE(file);
    const auto srs = srs_of(spec.epsg);
    const OGRwkbGeometryType type = spec.geometry == "point" ? wkbPoint : wkbUnknown;
    OGRLayer* layer = file->CreateLayer(spec.name.c_str(), srs.get(), type, nullptr);
    REQUIRE(layer);
    for (const std::string& column : spec.columns) {
        OGRFieldDefn field{column.c_str(), OFTString};
        REQUIRE(layer->CreateField(&field) == OGRERR_NONE);
    }
    for (const FeatureSpec& feature : features)
        add_feature(*layer, feature);
}

std::string rectangle(double x, double y, double width, double height)
{
    const double left = raster_corner.x + x;
    const double low = raster_corner.y + y;
    return fmt::format("POLYGON (({0} {1}, {2} {1}, {2} {3}, {0} {3}, {0} {1}))", left, low,
                       left + width, low + height);
}

Error error_of(const std::function<void()>& act)
{
    try {
        act();
    } catch (const Error& e) {
        return e;
    }
    FAIL("no Error was thrown");
    return {Failure::usage, ""};
}

void check_says(const Error& e, std::string_view what, std::string_view remedy)
{
    const std::string message = e.message();
    CAPTURE(message);
    CHECK(e.kind() == Failure::input);
    CHECK(std::string_view{e.what()}.find(what) != std::string_view::npos);
    CHECK(e.remedy().find(remedy) != std::string::npos);
    CHECK_FALSE(e.where().empty());
}

} // namespace fuelring::test
