// SPDX-License-Identifier: Apache-2.0
#include "io/folder/found.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <filesystem>
#include <fstream>
#include <string_view>
#include <system_error>

namespace fuelring {

namespace {

namespace fs = std::filesystem;

constexpr int most_levels = 3;
constexpr std::size_t most_files = 5000;

enum class Kind { raster, layers, csv, other };

Kind kind_of(const fs::path& file)
{
    std::string end = file.extension().string();
    std::transform(end.begin(), end.end(), end.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    const auto is_one_of = [&](std::initializer_list<std::string_view> ends) {
        return std::find(ends.begin(), ends.end(), end) != ends.end();
    };
    if (is_one_of({".tif", ".tiff", ".img", ".asc", ".jp2", ".rst", ".bil", ".flt"}))
        return Kind::raster;
    if (is_one_of({".gpkg", ".shp", ".geojson", ".json", ".geojsonl", ".fgb", ".gml", ".kml",
                   ".kmz", ".gdb", ".sqlite", ".parquet", ".tab", ".mif"}))
        return Kind::layers;
    return is_one_of({".csv", ".tsv"}) ? Kind::csv : Kind::other;
}

/// A run's outputs are no inputs.
bool is_run_folder(const fs::path& folder)
{
    std::error_code error;
    return fs::exists(folder / "run.json", error);
}

void list(const fs::path& folder, int level, std::vector<fs::path>& files)
{
    std::error_code error;
    for (fs::directory_iterator at{folder, error}, end; !error && at != end; at.increment(error)) {
        const fs::path& path = at->path();
        std::error_code ignored;
        if (path.filename().string().starts_with("."))
            continue;
        const bool is_folder = fs::is_directory(path, ignored);
        if (is_folder && path.extension() != ".gdb") {
            if (level < most_levels && !is_run_folder(path))
                list(path, level + 1, files);
        } else if (is_folder || fs::is_regular_file(path, ignored)) {
            files.push_back(path);
        }
        if (files.size() > most_files)
            throw Error{Failure::input, fmt::format("more than {} files", most_files),
                        folder.string(), "put the community's data into a folder of its own"};
    }
    if (error && level == 1)
        throw Error{Failure::input, "the folder cannot be read: " + error.message(),
                    folder.string(), "name the folder that the town's data lie in"};
}

/// The first line that is no comment begins as a class table does.
bool is_class_table(const fs::path& csv)
{
    std::ifstream file{csv};
    for (std::string line; std::getline(file, line);)
        if (!line.starts_with("#"))
            return line.find("code") != line.npos && line.find("conifer_share") != line.npos;
    return false;
}

void look_at_tables(const std::string& folder, FoundFolder& found)
{
    std::vector<fs::path> files;
    std::error_code error;
    for (fs::directory_iterator at{folder, error}, end; !error && at != end; at.increment(error))
        if (at->path().extension() == ".csv")
            files.push_back(at->path());
    std::sort(files.begin(), files.end());
    for (const fs::path& file : files)
        found.tables.push_back({file.string(), FuelClassTable::read(file), false});
}

} // namespace

const FoundColumn* FoundLayer::column(const std::string& name) const
{
    const auto at = std::find_if(columns.begin(), columns.end(),
                                 [&](const FoundColumn& c) { return c.name == name; });
    return at == columns.end() ? nullptr : &*at;
}

FoundFolder look_into(const std::string& folder, const std::vector<std::string>& tables)
{
    std::vector<fs::path> files;
    list(folder, 1, files);
    std::sort(files.begin(), files.end());
    FoundFolder found;
    for (const fs::path& file : files) {
        const Kind kind = kind_of(file);
        try {
            if (kind == Kind::raster)
                found.rasters.push_back(look_at_raster_file(file.string()));
            else if (kind == Kind::csv && is_class_table(file))
                found.tables.push_back({file.string(), FuelClassTable::read(file), true});
            else if (kind != Kind::other)
                for (FoundLayer& layer : look_at_layers(file.string()))
                    found.layers.push_back(std::move(layer));
        } catch (const Error& e) {
            found.unread.emplace_back(file.string(), e.what());
        }
    }
    found.rasters = grouped_tiles(std::move(found.rasters));
    for (const std::string& more : tables)
        look_at_tables(more, found);
    return found;
}

} // namespace fuelring
