// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/gdal/setup.hpp"

#include <fuelring/error.hpp>
#include <fuelring/grid.hpp>

#include <gdal.h>

#include <array>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace fuelring::test {

/// A folder that is gone when the test is. GDAL is set up on the way.
class TempFolder {
public:
    TempFolder();
    ~TempFolder();
    TempFolder(TempFolder&& other) noexcept : path_{std::exchange(other.path_, {})} {}
    TempFolder& operator=(TempFolder&&) = delete;

    std::string operator/(const std::string& name) const { return (path_ / name).string(); }

private:
    std::filesystem::path path_;
};

void write_text(const std::string& path, const std::string& text);

/// Where test data lies: UTM zone 32 N, 1 m cells, upper left corner of the raster.
inline constexpr int utm32 = 32632;
inline constexpr Point raster_corner{500'000, 5'540'000};
inline constexpr std::array<double, 6> metre_cells = {500'000, 1, 0, 5'540'000, 0, -1};

struct RasterSpec {
    int cols = 4;
    int rows = 3;
    GDALDataType type = GDT_Byte;
    int bands = 1;
    std::optional<double> nodata{};
    int epsg = utm32; ///< 0: none
    std::array<double, 6> geotransform = metre_cells;
    std::vector<std::string> options{};
    std::vector<std::uint8_t> mask{}; ///< empty: none
};
/// A GeoTIFF whose first band holds `cells`, row by row (missing ones stay 0).
void write_raster(const std::string& path, const RasterSpec& spec,
                  const std::vector<double>& cells);

struct FeatureSpec {
    std::string wkt; ///< empty: no geometry
    std::vector<std::optional<std::string>> cells{};
};
struct LayerSpec {
    std::string name = "layer";
    int epsg = utm32;
    std::string driver = "GPKG";
    std::vector<std::string> columns{};
    std::string geometry = "unknown"; ///< "unknown", "point"
};
/// Adds a layer to a file, which is made if need be.
void write_layer(const std::string& path, const LayerSpec& spec,
                 const std::vector<FeatureSpec>& features);

/// "POLYGON" of a rectangle whose lower left corner lies `x`, `y` metres from that of the raster's
/// upper left corner (y counts down from there: give negative ones).
std::string rectangle(double x, double y, double width, double height);

/// The Error that `act` throws; fails the test where it throws none.
Error error_of(const std::function<void()>& act);
/// An input was refused: the message has the words `what`, the advice `remedy`, and it says where.
void check_says(const Error& e, std::string_view what, std::string_view remedy);

} // namespace fuelring::test
