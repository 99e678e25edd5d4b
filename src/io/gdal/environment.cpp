// SPDX-License-Identifier: Apache-2.0

// A run can be repeated only where its surroundings can, so run.json lists what of them GDAL and
// its libraries heed: settings of the environment and of configuration files. Nothing that could be
// a secret may get there: names that tell of one hide their value, and every other value is
// redacted.
#include "io/gdal/environment.hpp"

#include "base/redact.hpp"
#include "io/gdal/setup.hpp"

#include <fuelring/version.hpp>

#include <cpl_conv.h>
#include <cpl_string.h>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <gdal.h>
#include <geos_c.h>
#include <nlohmann/json.hpp>
#include <proj.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cstdlib>
#include <filesystem>
#include <set>
#include <sstream>
#include <string_view>
#include <system_error>

namespace fuelring {

namespace {

constexpr std::array<std::string_view, 23> prefixes{
    "GDAL_", "OGR_",    "CPL_",     "VSI",   "AWS_",  "AZURE_",    "GS_",   "GOOGLE_",
    "OSS_",  "SWIFT_",  "WEBHDFS_", "PROJ_", "PG",    "GTIFF_",    "TIFF_", "GEOTIFF_",
    "OSR_",  "SQLITE_", "SHAPE_",   "OSM_",  "CURL_", "SSL_CERT_", "RAW_"};
constexpr std::array<std::string_view, 8> proxies{"http_proxy", "https_proxy", "no_proxy",
                                                  "all_proxy",  "HTTP_PROXY",  "HTTPS_PROXY",
                                                  "NO_PROXY",   "ALL_PROXY"};
/// Whatever the environment says of these, the program says otherwise.
constexpr std::array<std::string_view, 3> decided{"GDAL_PAM_ENABLED", "GDAL_VRT_ENABLE_PYTHON",
                                                  "PROJ_NETWORK"};

template <std::size_t N>
bool is_one_of(const std::array<std::string_view, N>& names, std::string_view name)
{
    return std::find(names.begin(), names.end(), name) != names.end();
}

bool is_heeded(std::string_view name)
{
    const auto leads = [name](std::string_view prefix) { return name.starts_with(prefix); };
    return !is_one_of(decided, name) &&
           (is_one_of(proxies, name) || std::any_of(prefixes.begin(), prefixes.end(), leads));
}

bool is_default(std::string_view setting)
{
    return std::any_of(http_defaults.begin(), http_defaults.end(), [&](const HttpDefault& d) {
        return setting.starts_with(d.name) && setting.substr(setting.find('=') + 1) == d.value;
    });
}

/// Headers may hold anything that admits.
std::string shown(std::string_view setting)
{
    const std::size_t sign = setting.find('=');
    const std::string_view name = setting.substr(0, sign);
    if (is_secret_name(name) || name.ends_with("HEADERS") || name.ends_with("KEY"))
        return std::string{name} + "=***";
    return redacted(setting);
}

} // namespace

std::vector<std::string> gdal_environment()
{
    std::set<std::string> found;
    for (char** setting = environ; setting && *setting; ++setting) {
        const std::string_view text{*setting};
        if (const std::size_t sign = text.find('=');
            sign != text.npos && is_heeded(text.substr(0, sign)))
            found.insert(shown(text));
    }
    char** options = CPLGetConfigOptions(); // those of set_up_gdal, and of gdalrc files
    for (char** option = options; option && *option; ++option) {
        const std::string_view text{*option};
        const std::string name{text.substr(0, text.find('='))};
        if (!is_one_of(decided, name) && !is_default(text) && !std::getenv(name.c_str()))
            found.insert(shown(text));
    }
    CSLDestroy(options);
    return {found.begin(), found.end()};
}

nlohmann::json program_versions()
{
    const PJ_INFO proj = proj_info();
    return {{"fuelring", version},
            {"gdal", GDALVersionInfo("RELEASE_NAME")},
            {"proj", proj.release},
            {"geos", GEOSversion()}};
}

std::string proj_files()
{
    namespace fs = std::filesystem;
    std::vector<std::string> files;
    std::istringstream folders{proj_info().searchpath};
    for (std::string folder; std::getline(folders, folder, ':');) {
        std::error_code error; // what cannot be looked at PROJ does not find either
        for (fs::directory_iterator at{folder, error}, end; !error && at != end;
             at.increment(error)) {
            const auto size = at->file_size(error);
            files.push_back(fmt::format("{} {}", at->path().string(), error ? 0 : size));
            error.clear();
        }
    }
    std::sort(files.begin(), files.end());
    return fmt::format("{}", fmt::join(files, "\n"));
}

} // namespace fuelring
