// SPDX-License-Identifier: Apache-2.0

// Folders of data as a town may have them, made piece by piece, and what begin writes for them.
#pragma once

#include "end_to_end/share_raster.hpp"
#include "support/hamlet.hpp"
#include "support/read_outputs.hpp"

#include <fmt/format.h>

#include <functional>
#include <map>
#include <sstream>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace fuelring::test {

/// "inputs.fuel.path" and the like with what stands behind it; comments are passed over.
inline std::map<std::string, std::string> keys_of(const fs::path& toml)
{
    std::map<std::string, std::string> keys;
    std::istringstream text{text_of(toml)};
    std::string table;
    for (std::string line; std::getline(text, line);)
        if (line.starts_with("["))
            table = line.substr(1, line.size() - 2) + ".";
        else if (const std::size_t at = line.find(" = "); at != line.npos && !line.starts_with("#"))
            keys[table + line.substr(0, at)] = line.substr(at + 3);
    return keys;
}

/// A folder of data, made piece by piece.
struct Folder {
    fs::path at;

    fs::path file(const std::string& name) const
    {
        fs::create_directories((at / name).parent_path());
        return at / name;
    }
    /// A layer of the sample under another name, in another format and system.
    void sample(const std::string& of, const std::string& name, const char* driver = "GPKG",
                int epsg = 32611) const
    {
        const fs::path copy = at / ("copy_of_" + of);
        fs::copy_file(sample_data() / of, copy);
        reproject_layer(copy, file(name), driver, epsg);
        fs::remove(copy);
    }
    void copy(const std::string& of, const std::string& name) const
    {
        fs::copy_file(sample_data() / of, file(name));
    }
    void text(const std::string& name, const std::string& text) const
    {
        write_text(file(name), text);
    }
    /// The hamlet's houses, each with a text.
    void houses(const std::string& name, const char* column = "structure_id",
                const char* driver = "GPKG", int epsg = 32611, bool same_text = false) const
    {
        std::vector<Shape> shapes;
        for (const House& h : hamlet_houses)
            shapes.push_back({same_text ? "house" : h.id, rectangle_wkt(h.x0, h.y0, h.x1, h.y1)});
        make_layer(file(name), driver, column, epsg, shapes);
    }
    void fuel(const std::string& name, int epsg = 32611,
              const std::function<int(std::int64_t, std::int64_t)>& code_at = sample_code) const
    {
        make_fuel(file(name), {hamlet_cells, hamlet_cells, hamlet_transform, epsg, code_at});
    }
    /// Codes of the sample's table.
    static int sample_code(std::int64_t row, std::int64_t col)
    {
        return col < 110 ? conifer : row < 60 ? road : row < 90 ? mixed : grass;
    }
    /// A raster of 30 m cells around the hamlet.
    void coarse(const std::string& name,
                const std::function<int(std::int64_t, std::int64_t)>& code_at) const
    {
        make_fuel(file(name), {30, 30, {599700, 30, 0, 5600600, 0, -30}, 32611, code_at});
    }
    /// Four strips of polygons over the hamlet, each with a value.
    void strips(const std::string& name, const std::string& column,
                const std::vector<std::string>& values) const
    {
        std::vector<Shape> shapes;
        for (std::size_t k = 0; k < values.size(); ++k)
            shapes.push_back(
                {values[k], rectangle_wkt(600000 + 75. * static_cast<double>(k), 5600000,
                                          600075 + 75. * static_cast<double>(k), 5600300)});
        make_layer(file(name), "GeoJSON", column, 32611, shapes);
    }
    void shares(const std::string& name, GDALDataType type, double whole) const
    {
        make_shares(file(name), type, {}, [=](std::int64_t row, std::int64_t col) {
            return whole == 1 && type == GDT_Byte
                       ? static_cast<double>(col < 110)
                       : whole * static_cast<double>((row + col) % 101) / 100;
        });
    }
};

inline int national_code(std::int64_t row, std::int64_t col)
{
    constexpr int codes[] = {42, 41, 43, 71, 21, 22, 11, 42};
    return codes[(row * 3 + col) % 8];
}

/// The sample's layers and rasters, renamed and in one system.
inline void renamed_sample(const Folder& f, const char* driver, const std::string& end, int epsg)
{
    f.sample("structures.gpkg", "Buildings_2024" + end, driver, epsg);
    f.sample("addresses.gpkg", "civic_points" + end, driver, epsg);
    f.sample("neighbourhoods.gpkg", "districts" + end, driver, epsg);
    f.sample("parcels.gpkg", "taxlots" + end, driver, epsg);
    f.copy("fuel.tif", "vegetation.tif");
    f.copy("elevation.tif", "dem_1m.tif");
}

/// What lies in a folder, and what begin guesses of it.
struct Arrangement {
    std::string_view why;
    std::function<void(const Folder&)> make;
    std::vector<std::pair<std::string, std::string>> guesses; ///< key and value; empty: not there
};
std::vector<Arrangement> arrangements();

} // namespace fuelring::test
