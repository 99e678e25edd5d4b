// SPDX-License-Identifier: Apache-2.0
#include "damage/formats.hpp"
#include "io/gdal/handles.hpp"
#include "io/raster/elevation_raster.hpp"
#include "io/raster/fuel_raster.hpp"
#include "support/make_inputs.hpp"
#include "support/temp_folder.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <memory>

namespace fuelring::test {

namespace {

constexpr CellRect window{0, 0, hamlet_cells, hamlet_cells};

/// The bytes of what numbers there are.
template <typename T>
void append(std::string& to, const T* values, std::size_t count)
{
    to.append(reinterpret_cast<const char*>(values), count * sizeof *values);
}

void append_place(std::string& to, const AnalysisGrid& analysis)
{
    to += analysis.crs.name();
    append(to, analysis.grid.geotransform().data(), 6);
    const std::int64_t size[] = {analysis.grid.cols(), analysis.grid.rows()};
    append(to, size, 2);
}

std::string read_fuel(const std::string& path, const FuelClassTable& classes)
{
    const FuelRaster raster{{.path = path}, classes};
    FuelRaster::Reader reader{raster};
    std::vector<ClassIndex> cells(static_cast<std::size_t>(window.cols * window.rows));
    reader.read(window, cells);
    CodeCensus census;
    reader.count(window, census);
    std::string figures;
    append_place(figures, raster.analysis());
    append(figures, cells.data(), cells.size());
    return figures;
}

std::string read_heights(const std::string& path)
{
    const AnalysisGrid analysis{Grid{hamlet_transform, hamlet_cells, hamlet_cells},
                                Crs::from_user_input("EPSG:32611", "test")};
    const ElevationRaster raster{{.path = path}, analysis};
    ElevationRaster::Reader reader{raster};
    std::string figures;
    const HeightWindow& heights = reader.read(window);
    append(figures, heights.height_m.data(), heights.height_m.size());
    return figures;
}

/// The files that a driver makes of a raster.
std::map<std::string, std::string> copied(const std::string& from, const std::string& to,
                                          const char* driver, std::vector<std::string> options)
{
    std::vector<char*> words;
    for (std::string& option : options)
        words.push_back(option.data());
    words.push_back(nullptr);
    fs::create_directory(fs::path{to}.parent_path());
    {
        const DatasetPtr source{GDALOpen(from.c_str(), GA_ReadOnly)};
        const DatasetPtr made{GDALCreateCopy(GDALGetDriverByName(driver), to.c_str(), source.get(),
                                             0, words.data(), nullptr, nullptr)};
        REQUIRE(made);
    }
    return bytes_below(fs::path{to}.parent_path());
}

} // namespace

std::vector<Format> raster_formats(const std::string& folder)
{
    struct Made {
        const char* name;
        const char* driver;
        const char* file;
        std::vector<std::string> options;
    };
    const Made rasters[] = {
        {"GeoTIFF, DEFLATE",
         "GTiff",
         "f.tif",
         {"COMPRESS=DEFLATE", "TILED=YES", "BLOCKXSIZE=64", "BLOCKYSIZE=64"}},
        {"GeoTIFF, LZW", "GTiff", "f.tif", {"COMPRESS=LZW", "PREDICTOR=2"}},
        {"GeoTIFF, ZSTD", "GTiff", "f.tif", {"COMPRESS=ZSTD", "BIGTIFF=YES"}},
        {"GeoTIFF, not compressed", "GTiff", "f.tif", {}},
        {"cloud optimised GeoTIFF", "COG", "f.tif", {"BLOCKSIZE=128", "COMPRESS=DEFLATE"}},
        {"Imagine", "HFA", "f.img", {"COMPRESSED=YES"}},
        {"ENVI", "ENVI", "f.dat", {}},
        {"EHdr", "EHdr", "f.bil", {}},
        {"SAGA", "SAGA", "f.sdat", {}},
        {"ASCII grid", "AAIGrid", "f.asc", {}},
        {"Idrisi", "RST", "f.rst", {}},
        {"JPEG 2000", "JP2OpenJPEG", "f.jp2", {"REVERSIBLE=YES", "QUALITY=100"}},
        {"GeoPackage of tiles", "GPKG", "f.gpkg", {"TILE_FORMAT=PNG"}},
    };
    const std::string fuel = folder + "/fuel.tif";
    make_fuel(fuel, {hamlet_cells, hamlet_cells, hamlet_transform, 32611,
                     [](std::int64_t row, std::int64_t col) {
                         return (row * 7 + col * col) % 13 < 6 ? int{conifer} : int{grass};
                     }});
    const auto classes = std::make_shared<const FuelClassTable>(
        std::vector<FuelClass>{{conifer, "pine", FuelGroup::conifer, 10'000, "test"},
                               {grass, "grass", FuelGroup::grass, 0, "test"}});
    std::vector<Format> formats;
    for (const Made& made : rasters) {
        const std::string file = made.file;
        formats.push_back(
            {made.name,
             copied(fuel, folder + "/" + made.name + "/" + file, made.driver, made.options),
             [classes, file](const std::string& in) {
                 return read_fuel(in + "/" + file, *classes);
             }});
    }
    make_elevation(folder + "/heights.tif",
                   {hamlet_cells, hamlet_cells, hamlet_transform, 32611,
                    [](double x, double y) { return 500 + 20 * std::sin(x / 30) + y / 1e5; }});
    formats.push_back({"heights, DEFLATE",
                       copied(folder + "/heights.tif", folder + "/heights/h.tif", "GTiff",
                              {"COMPRESS=DEFLATE", "PREDICTOR=3"}),
                       [](const std::string& in) { return read_heights(in + "/h.tif"); }});
    return formats;
}

} // namespace fuelring::test
