// SPDX-License-Identifier: Apache-2.0
#include "run/cache/input_digests.hpp"

#include "base/program/digest.hpp"
#include "base/serialization.hpp"
#include "io/gdal/environment.hpp"
#include "io/gdal/reprojection.hpp"
#include "run/inputs/input_stamps.hpp"
#include "run/inputs/inputs.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <nlohmann/json.hpp>

#include <filesystem>
#include <system_error>
#include <vector>

namespace fuelring {

namespace {

/// Rises when keys or kept results change their layout or meaning.
constexpr int layout = 3;

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

InputDigests input_digests(const Config& config)
{
    const std::vector<InputFile> files = local_files(config);
    if (config.remote_inputs || files.size() != configured_inputs(config).size())
        return {};
    ByteWriter configuration;
    configuration.put_text(
        std::filesystem::absolute(config.file).string()); // inputs stand relative to it
    configuration.put_text(config.text);
    InputDigests digests{
        {"program", program_digest()},
        {"configuration", hex_of(configuration.bytes())},
        {"environment", hex_of(fmt::format("{}", fmt::join(gdal_environment(), "\n")))},
        {grids_of_proj, hex_of(proj_files())}};
    try {
        for (const InputFile& file : files)
            digests[file.role] = digest_with_companions(file.path);
    } catch (const std::system_error&) {
        return {}; // who reads the file says what is wrong with it
    }
    return digests;
}

} // namespace fuelring
