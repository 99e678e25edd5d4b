// SPDX-License-Identifier: Apache-2.0
#include "io/gdal/remote_file.hpp"

#include <cpl_string.h>
#include <cpl_vsi.h>

#include <algorithm>
#include <cctype>
#include <string_view>

namespace fuelring {

namespace {

bool is_header(std::string_view line, std::string_view name)
{
    return line.size() > name.size() && (line[name.size()] == '=' || line[name.size()] == ':') &&
           std::equal(name.begin(), name.end(), line.begin(), [](unsigned char a, unsigned char b) {
               return std::tolower(a) == std::tolower(b);
           });
}

std::string header(char** headers, std::string_view name)
{
    for (char** line = headers; line && *line; ++line)
        if (const std::string_view text{*line}; is_header(text, name))
            return std::string{text.substr(name.size() + 1)};
    return {};
}

/// As GDAL's file system has it; empty for what is no file.
std::string file_of(const std::string& path)
{
    if (path.starts_with("http://") || path.starts_with("https://") || path.starts_with("ftp://"))
        return "/vsicurl/" + path;
    return path.starts_with("/vsi") ? path : std::string{};
}

} // namespace

RemoteState remote_state(const std::string& path)
{
    const std::string file = file_of(path);
    if (file.empty())
        return {};
    // GDAL answers from its own memory otherwise, and a file that changed would look the same.
    VSICurlPartialClearCache(file.c_str());
    VSIStatBufL stat = {};
    if (VSIStatL(file.c_str(), &stat) != 0)
        return {RemoteState::Kind::absent, {}};
    RemoteState state{RemoteState::Kind::file, {static_cast<std::uint64_t>(stat.st_size), {}, {}}};
    char** headers = VSIGetFileMetadata(file.c_str(), "HEADERS", nullptr);
    state.facts.etag = header(headers, "ETag");
    state.facts.modified = header(headers, "Last-Modified");
    CSLDestroy(headers);
    if (state.facts.modified.empty() && stat.st_mtime != 0)
        state.facts.modified = std::to_string(stat.st_mtime);
    return state;
}

} // namespace fuelring
