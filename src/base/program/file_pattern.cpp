// SPDX-License-Identifier: Apache-2.0
#include "base/program/file_pattern.hpp"

#include <glob.h>

#include <algorithm>
#include <cctype>
#include <filesystem>
#include <string_view>
#include <system_error>

namespace fuelring {

namespace {

constexpr std::string_view beside_a_file[] = {".aux.xml", ".ovr", ".msk", ".sha256", ".tfw",
                                              ".tifw",    ".wld", ".prj", ".hdr",    ".xml",
                                              ".j2w",     ".pgw", ".txt", ".md"};

bool stands_beside(std::string name)
{
    std::transform(name.begin(), name.end(), name.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return std::any_of(std::begin(beside_a_file), std::end(beside_a_file),
                       [&](std::string_view end) { return name.ends_with(end); });
}

} // namespace

bool is_file_pattern(const std::string& path)
{
    std::error_code error;
    return path.find_first_of("*?[") != path.npos && !std::filesystem::exists(path, error);
}

std::vector<std::string> files_of_pattern(const std::string& pattern)
{
    glob_t found{};
    std::vector<std::string> files;
    if (glob(pattern.c_str(), GLOB_NOSORT, nullptr, &found) == 0)
        for (std::size_t k = 0; k < found.gl_pathc; ++k)
            if (std::error_code error; std::filesystem::is_regular_file(found.gl_pathv[k], error) &&
                                       !stands_beside(found.gl_pathv[k]))
                files.emplace_back(found.gl_pathv[k]);
    globfree(&found);
    std::sort(files.begin(), files.end());
    return files;
}

} // namespace fuelring
