// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "community.hpp"
#include "tools/paint.hpp"

#include <filesystem>
#include <memory>
#include <string>

namespace community {

/// The south-west corner of every invented community, in EPSG:32611. Round numbers: no real place
/// is meant.
inline constexpr double origin_x_m = 500000, origin_y_m = 5600000;
inline constexpr int crs_epsg = 32611;

/// A GeoPackage with one layer that is filled feature by feature. Throws std::runtime_error with
/// GDAL's own reason.
class LayerFile {
public:
    enum class Kind { points, polygons };

    /// `columns`: text columns, but for those that `numbers` names too. An old file of that name is
    /// replaced.
    LayerFile(const std::filesystem::path& file, const std::string& layer, Kind kind,
              std::vector<std::string> columns, const std::vector<std::string>& numbers = {});
    ~LayerFile();
    LayerFile(const LayerFile&) = delete;
    LayerFile& operator=(const LayerFile&) = delete;

    void add(const std::vector<std::string>& values, Point place);
    void add(const std::vector<std::string>& values, const std::vector<Polygon>& parts);
    /// Closes the file; only then is it complete.
    void finish();

private:
    struct State;
    std::unique_ptr<State> state_;
};

/// A tiled GeoTIFF of bytes, written from north to south in strips of whole tiles.
class FuelFile {
public:
    FuelFile(const std::filesystem::path& file, int cols, int rows, double cell_m, int level);
    ~FuelFile();
    FuelFile(const FuelFile&) = delete;
    FuelFile& operator=(const FuelFile&) = delete;

    void write(const Canvas& strip);
    void finish();

private:
    struct State;
    std::unique_ptr<State> state_;
};

/// A GeoTIFF of heights in metres, rounded to centimetres' neighbour in 1/64 m; north row first.
void write_elevation(const std::filesystem::path& file, int cols, int rows, double cell_m,
                     std::vector<float> heights_m);

/// Where an image lies: metres from the community's corner, cells of 1 m.
struct ImagePlace {
    int west_m, north_m;
    int cols, rows;
};
/// A tiled GeoTIFF of bytes, one band for each of `bands`, north row first; 0 is no data. A value
/// is cell * scale + offset.
void write_image(const std::filesystem::path& file, const ImagePlace& place,
                 const std::vector<std::vector<std::uint8_t>>& bands, double scale = 1,
                 double offset = 0);

/// The first areas less the second ones, through GEOS; pieces of less than 0.05 m2 are
/// dropped.
std::vector<Polygon> difference(const std::vector<Polygon>& from, const std::vector<Polygon>& less);

} // namespace community
