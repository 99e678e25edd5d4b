// SPDX-License-Identifier: Apache-2.0

// A line of sha256sum is 64 hex digits, a blank, a blank or an asterisk, and the name as it was
// given there. Its last component has to be the input's name, since the folder is another one where
// the file was made.
#include "run/inputs/sidecar.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <fstream>
#include <string_view>
#include <system_error>

namespace fuelring {

namespace fs = std::filesystem;

namespace {

constexpr std::size_t digits = 64;
constexpr std::uintmax_t largest_bytes = 1 << 20; ///< a list of some thousand files

Error malformed(const fs::path& sidecar, const std::string& what)
{
    return Error{Failure::input, "no checksum as sha256sum writes it: " + what, sidecar.string(),
                 "write it with sha256sum, in the folder of the file, or take it away"};
}

std::string text_in(const fs::path& sidecar)
{
    std::error_code error;
    if (!fs::is_regular_file(sidecar, error))
        throw malformed(sidecar, "it is not a file");
    if (fs::file_size(sidecar, error) > largest_bytes)
        throw malformed(sidecar, "it is too large");
    std::ifstream file{sidecar, std::ios::binary};
    std::string text{std::istreambuf_iterator<char>{file}, {}};
    if (!file || text.empty())
        throw malformed(sidecar, file ? "it is empty" : "it cannot be read");
    return text;
}

/// Name and digest of a line.
struct Line {
    std::string_view name;
    std::string sha256;
};

std::optional<Line> parse(std::string_view line)
{
    if (line.size() < digits + 3 || line[digits] != ' ' ||
        (line[digits + 1] != ' ' && line[digits + 1] != '*'))
        return std::nullopt;
    std::string hex{line.substr(0, digits)};
    if (!std::all_of(hex.begin(), hex.end(), [](unsigned char c) { return std::isxdigit(c) != 0; }))
        return std::nullopt;
    std::transform(hex.begin(), hex.end(), hex.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    const std::string_view name = line.substr(digits + 2);
    return Line{name.substr(name.find_last_of("/\\") + 1), hex};
}

} // namespace

std::optional<Sidecar> read_sidecar(const fs::path& input)
{
    const fs::path sidecar = input.string() + ".sha256";
    std::error_code error;
    if (!fs::exists(fs::symlink_status(sidecar, error)))
        return std::nullopt;
    const std::string text = text_in(sidecar);
    std::optional<Sidecar> found;
    std::size_t number = 0;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size());
        std::string_view line{text.data() + at, end - at};
        at = end + 1;
        ++number;
        if (line.ends_with('\r'))
            line.remove_suffix(1);
        if (line.empty())
            continue;
        const std::optional<Line> parsed = parse(line);
        if (!parsed)
            throw malformed(sidecar, fmt::format("line {} is not a digest and name", number));
        if (parsed->name != input.filename().string())
            continue;
        if (found && found->sha256 != parsed->sha256)
            throw malformed(sidecar, fmt::format("two digests of {}", parsed->name));
        found = Sidecar{sidecar, parsed->sha256};
    }
    if (!found)
        throw malformed(sidecar, fmt::format("it does not name {}", input.filename().string()));
    return found;
}

void require_digest(const Sidecar& sidecar, const FileDigest& found, const fs::path& input)
{
    if (found.sha256 != sidecar.sha256)
        throw Error{Failure::input,
                    fmt::format("the file is not the one that {} is of: its SHA-256 is {}, {} "
                                "stands there",
                                sidecar.path.filename().string(), found.sha256, sidecar.sha256),
                    input.string(), "fetch both again; the file is damaged, or another version"};
}

} // namespace fuelring
