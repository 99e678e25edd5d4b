// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/footprint.hpp>
#include <fuelring/fuel_classes.hpp>

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace fuelring {

/// A coordinate system as the configuration can name it.
struct FoundCrs {
    std::string name{}; ///< in words; empty where the file has none
    std::string text{}; ///< "EPSG:32611" where an authority knows it, else WKT
    bool geographic = false;
};

/// A column of a layer, over the features that were looked at.
struct FoundColumn {
    std::string name;                     ///< in UTF-8
    std::int64_t filled = 0;              ///< cells that hold something
    bool all_numbers = true;              ///< of them
    bool all_coordinates = true;          ///< numbers as towns write coordinates
    bool with_letters_and_digits = false; ///< some cell is like "Larch Way 12"
    bool unique = true;                   ///< no two cells are the same
    std::vector<std::string> values{};    ///< the first different ones, at most most_values
    std::size_t different = 0;            ///< how many, up to most_counted
    double least = 0, most = 0;           ///< of numbers

    static constexpr std::size_t most_values = 24;
    static constexpr std::size_t most_counted = 100'000;
};

enum class FoundShape { polygons, lines, points, none, mixed };

/// A layer of a vector file, or a table.
struct FoundLayer {
    std::string path;
    std::string layer;      ///< its name
    bool only_layer = true; ///< of its file
    bool is_csv = false;
    FoundShape shape = FoundShape::none;
    std::int64_t features = 0;
    std::int64_t looked_at = 0; ///< features whose columns are told
    FoundCrs crs;
    Box extent = Box::nothing(); ///< in its system, of all that were looked at
    double median_area_m2 = 0;   ///< of polygons, roughly; of the ground
    std::string encoding{};      ///< to be set, where texts are not UTF-8
    std::vector<FoundColumn> columns;

    const FoundColumn* column(const std::string& name) const;
};

/// A raster, or tiles of one.
struct FoundRaster {
    std::vector<std::string> paths; ///< one, or tiles by name
    std::string pattern{};          ///< that finds the tiles and nothing else; empty: a list
    int bands = 1;
    std::string type{};
    bool colours = false; ///< bands are red, green and blue
    bool whole_numbers = true;
    FoundCrs crs{};
    std::array<double, 6> geotransform{};
    std::int64_t cols = 0, rows = 0; ///< of the first tile
    Box extent = Box::nothing();
    double cell_m = 0;                       ///< the longer side of a cell, roughly
    bool has_unit = false;                   ///< of heights
    std::map<double, std::int64_t> values{}; ///< sampled cells by value, at most most_values
    bool all_values = true;                  ///< no sampled value is missing there
    double least = 0, most = 0;
    std::int64_t sampled = 0, nodata = 0;

    static constexpr std::size_t most_values = 4096;
};

/// A class table: code,label,group,conifer_share,source.
struct FoundTable {
    std::string path;
    FuelClassTable classes;
    bool in_folder = false; ///< not one of those that fuelring comes with
};

/// What lies in a folder, by path.
struct FoundFolder {
    std::vector<FoundLayer> layers;
    std::vector<FoundRaster> rasters;
    std::vector<FoundTable> tables;
    std::vector<std::pair<std::string, std::string>> unread; ///< path and why
};

/// Looks at all files below a folder, three levels deep; run folders, hidden files and what belongs
/// to another file are passed over. `tables`: folders of further class tables.
/// Throws: Error{input} where the folder cannot be read, or holds more than 5,000 files.
FoundFolder look_into(const std::string& folder, const std::vector<std::string>& tables);

// Its parts.

/// All layers of a file. Throws: Error{input}.
std::vector<FoundLayer> look_at_layers(const std::string& path);
/// Throws: Error{input}.
FoundRaster look_at_raster_file(const std::string& path);
/// Rasters that lie beside each other in one grid, with names alike but for numbers, become one.
std::vector<FoundRaster> grouped_tiles(std::vector<FoundRaster> rasters);

} // namespace fuelring
