// SPDX-License-Identifier: Apache-2.0

// Tiles have names that differ in numbers, and lie beside each other. Two dates of one raster have
// such names, too, but lie on each other.
#include "base/program/file_pattern.hpp"
#include "io/folder/found.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <filesystem>
#include <map>
#include <tuple>

namespace fuelring {

namespace {

/// Tiles may share so much of the smaller one, no more.
constexpr double most_shared = 0.5;

std::string without_numbers(const std::string& path)
{
    std::string text;
    for (const char c : path)
        if (std::isdigit(static_cast<unsigned char>(c)) == 0)
            text += c;
        else if (text.empty() || text.back() != '#')
            text += '#';
    return text;
}

double area_of(const Box& box)
{
    return std::max(0.0, box.max.x - box.min.x) * std::max(0.0, box.max.y - box.min.y);
}

bool lie_apart(const std::vector<FoundRaster>& tiles)
{
    for (std::size_t a = 0; a < tiles.size(); ++a)
        for (std::size_t b = 0; b < a; ++b) {
            const Box& p = tiles[a].extent;
            const Box& q = tiles[b].extent;
            const Box both{{std::max(p.min.x, q.min.x), std::max(p.min.y, q.min.y)},
                           {std::min(p.max.x, q.max.x), std::min(p.max.y, q.max.y)}};
            if (area_of(both) > most_shared * std::min(area_of(p), area_of(q)))
                return false;
        }
    return true;
}

/// What names have in common at their ends, with * between; empty where it finds other files.
std::string pattern_of(const std::vector<std::string>& paths)
{
    const std::string& first = paths.front();
    const std::string& last = paths.back(); // by name, so the ends tell of all
    std::size_t head = 0;
    while (head < std::min(first.size(), last.size()) && first[head] == last[head])
        ++head;
    std::size_t tail = 0;
    const auto shares_tail = [&](const std::string& path) {
        return tail < path.size() - head &&
               path[path.size() - 1 - tail] == first[first.size() - 1 - tail];
    };
    while (std::all_of(paths.begin(), paths.end(), shares_tail))
        ++tail;
    const std::string pattern = first.substr(0, head) + "*" + first.substr(first.size() - tail);
    return files_of_pattern(pattern) == paths ? pattern : "";
}

FoundRaster united(std::vector<FoundRaster> tiles)
{
    FoundRaster all = std::move(tiles.front());
    for (std::size_t k = 1; k < tiles.size(); ++k) {
        FoundRaster& tile = tiles[k];
        all.paths.push_back(std::move(tile.paths.front()));
        all.extent.take_in(tile.extent.min);
        all.extent.take_in(tile.extent.max);
        if (tile.sampled > 0) {
            all.least = all.sampled == 0 ? tile.least : std::min(all.least, tile.least);
            all.most = all.sampled == 0 ? tile.most : std::max(all.most, tile.most);
        }
        all.sampled += tile.sampled;
        all.nodata += tile.nodata;
        all.whole_numbers = all.whole_numbers && tile.whole_numbers;
        all.all_values = all.all_values && tile.all_values;
        for (const auto& [value, cells] : tile.values)
            all.values[value] += cells;
    }
    all.pattern = pattern_of(all.paths);
    return all;
}

} // namespace

std::vector<FoundRaster> grouped_tiles(std::vector<FoundRaster> rasters)
{
    using Likeness = std::tuple<std::string, int, std::string, std::string, std::int64_t>;
    std::map<Likeness, std::vector<FoundRaster>> groups;
    for (FoundRaster& raster : rasters) {
        const Likeness like{without_numbers(raster.paths.front()), raster.bands, raster.type,
                            raster.crs.text, std::llround(raster.cell_m * 1000)};
        groups[like].push_back(std::move(raster));
    }
    std::vector<FoundRaster> result;
    for (auto& [like, tiles] : groups)
        if (tiles.size() > 1 && lie_apart(tiles))
            result.push_back(united(std::move(tiles)));
        else
            std::move(tiles.begin(), tiles.end(), std::back_inserter(result));
    std::sort(result.begin(), result.end(),
              [](const FoundRaster& a, const FoundRaster& b) { return a.paths < b.paths; });
    return result;
}

} // namespace fuelring
