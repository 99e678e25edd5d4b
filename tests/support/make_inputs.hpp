// SPDX-License-Identifier: Apache-2.0

// Makes inputs for the program through GDAL: rasters, layers and configurations.
#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace fuelring::test {

/// Codes of the sample's class table (config/fuel-classes/tamarack_bend.csv).
enum Code : std::uint8_t { no_data = 0, conifer = 1, mixed = 3, grass = 5, road = 8, water = 9 };

/// A fuel raster to be made: GeoTIFF, Byte.
struct FuelFile {
    std::int64_t cols = 0;
    std::int64_t rows = 0;
    std::array<double, 6> transform{};
    int epsg = 32611; ///< 0: without a CRS
    std::function<int(std::int64_t row, std::int64_t col)> code_at;
};
void make_fuel(const std::filesystem::path& file, const FuelFile& fuel);

/// An elevation raster to be made: GeoTIFF, Float64, in blocks of 16 x 16 cells.
struct ElevationFile {
    std::int64_t cols = 0;
    std::int64_t rows = 0;
    std::array<double, 6> transform{};
    int epsg = 32611;
    /// By the centre of the cell in the CRS EPSG:`heights_in`. NaN is nodata.
    std::function<double(double x, double y)> height_at;
    int heights_in = 32611;
    std::string unit = "metre"; ///< empty: the file names none
};
void make_elevation(const std::filesystem::path& file, const ElevationFile& elevation);

/// One feature of a layer to be made.
struct Shape {
    std::string text; ///< goes into the layer's one column
    std::string wkt;
};
/// A rectangle between two corners.
std::string rectangle_wkt(double x0, double y0, double x1, double y1);
/// A layer named as the file, with one text column; epsg 0: without a CRS.
void make_layer(const std::filesystem::path& file, const char* driver, const std::string& column,
                int epsg, const std::vector<Shape>& shapes);

/// Writes `code` into one cell of a fuel raster.
void set_cell(const std::filesystem::path& fuel, std::int64_t row, std::int64_t col, Code code);
/// Moves a raster and every vertex of a layer to the north.
void move_raster_north(const std::filesystem::path& raster, double metres);
void move_layer_north(const std::filesystem::path& layer_file, double metres);
/// Copies the only layer of a file to another CRS and driver.
void reproject_layer(const std::filesystem::path& from, const std::filesystem::path& to,
                     const char* driver, int epsg);

/// Changes a GeoPackage by a statement of SQL, as a desktop GIS would.
void run_sql(const std::filesystem::path& geopackage, const std::string& statement);

/// A configuration: table, key and value as TOML writes it.
struct ConfigFile {
    std::map<std::string, std::map<std::string, std::string>> tables;

    std::string& operator()(const std::string& table, const std::string& key)
    {
        return tables[table][key];
    }
    void write(const std::filesystem::path& file) const;
};
/// A path or text as TOML writes it.
std::string toml_text(const std::filesystem::path& text);

/// The demo's configuration with its files by absolute paths below `data`.
ConfigFile sample_config(const std::filesystem::path& data);
/// The folder sample_data of the source tree.
std::filesystem::path sample_data();
/// structures.gpkg (id), addresses.gpkg (text) and fuel.tif of a folder.
ConfigFile hamlet_config(const std::filesystem::path& folder);
/// Houses among conifers and lawns, 300 x 300 cells of 1 m: hamlet_config's three files. Four
/// stand on the raster (hamlet_houses), the fifth far off it.
void make_hamlet(const std::filesystem::path& folder);
struct House {
    const char* id;
    double x0, y0, x1, y1;
};
extern const std::array<House, 4> hamlet_houses;
/// Where conifers end, the mixed strip ends, and the imagery ends, in columns.
constexpr std::int64_t hamlet_mixed_col = 100, hamlet_grass_col = 110, hamlet_gap_col = 280;
constexpr std::array<double, 6> hamlet_transform{600000, 1, 0, 5600300, 0, -1};
constexpr std::int64_t hamlet_cells = 300;

} // namespace fuelring::test
