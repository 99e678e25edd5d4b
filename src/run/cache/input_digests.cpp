// SPDX-License-Identifier: Apache-2.0
#include "run/cache/input_digests.hpp"

#include "base/program/digest.hpp"
#include "base/serialization.hpp"
#include "io/gdal/environment.hpp"
#include "io/gdal/reprojection.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <nlohmann/json.hpp>

#include <filesystem>
#include <system_error>
#include <vector>

namespace fuelring {

namespace {

/// Rises when keys or kept results change their layout or meaning.
constexpr int layout = 5;

std::string hex_of(std::string_view bytes)
{
    return digest_of_bytes(bytes).sha256;
}

} // namespace

std::string program_digest()
{
    std::string text = program_versions().dump() + std::to_string(layout);
    try {
        text += digest_of("/proc/self/exe").sha256;
    } catch (const std::system_error&) {
        return hex_of(text); // the versions have to do
    }
    return hex_of(text);
}

std::vector<std::string> differences(const InputDigests& a, const InputDigests& b)
{
    std::vector<std::string> keys;
    for (const auto& [key, digest] : a)
        if (const auto at = b.find(key); at == b.end() || at->second != digest)
            keys.push_back(key);
    for (const auto& [key, digest] : b)
        if (!a.contains(key))
            keys.push_back(key);
    return keys;
}

void put_grid(ByteWriter& bytes, const FuelRaster& raster)
{
    const Grid& grid = raster.grid();
    bytes.each(grid.geotransform());
    bytes(grid.cols(), grid.rows());
    bytes.put_text(raster.crs().wkt());
}

std::uint64_t number_of_neighbourhood(const Community& community, const Structure& s)
{
    return s.neighbourhood.value_or(community.neighbourhoods.size());
}

RawDigest shape_of(const Structure& s)
{
    ByteWriter bytes;
    bytes(s.frame.col, s.frame.row, s.map_scale.x, s.map_scale.y, s.stretch.down, s.stretch.across,
          s.stretch.downhill.x, s.stretch.downhill.y);
    for (const Loop& loop : s.footprint.loops) {
        bytes(static_cast<std::uint64_t>(loop.size()));
        for (const Point p : loop)
            bytes(p.x, p.y);
    }
    return raw_digest(bytes.bytes());
}

InputDigests input_digests(const Config& config)
{
    return digests_by_role(configured_inputs(config), config, config.text);
}

InputDigests digests_by_role(const InputPaths& paths, const Config& config, const std::string& text)
{
    const std::vector<InputFile> files = local_files(paths);
    if (config.run.remote_inputs || files.size() != paths.size())
        return {};
    ByteWriter configuration;
    configuration.put_text(
        std::filesystem::absolute(config.file).string()); // inputs stand relative to it
    configuration.put_text(text);
    InputDigests digests{
        {"program", program_digest()},
        {"configuration", hex_of(configuration.bytes())},
        {"environment", hex_of(fmt::format("{}", fmt::join(gdal_environment(), "\n")))},
        {grids_of_proj, hex_of(proj_files())}};
    try {
        for (const InputFile& file : files)
            digests[file.role] = digest_with_companions(file.path);
        // Of a raster in tiles also one for all.
        ByteWriter tiles;
        std::string raster;
        const auto close = [&] {
            if (!raster.empty())
                digests[raster] = hex_of(tiles.bytes());
            tiles = {};
        };
        for (const InputFile& file : files) {
            if (const std::string of = raster_of_role(file.role); of != raster) {
                close();
                raster = of;
            }
            if (!raster.empty())
                tiles.put_text(digests.at(file.role));
        }
        close();
    } catch (const std::system_error&) {
        return {}; // who reads the file says what is wrong with it
    }
    return digests;
}

} // namespace fuelring
