// SPDX-License-Identifier: Apache-2.0
#include "run/inputs/input_stamps.hpp"

#include "base/program/digest.hpp"
#include "base/serialization.hpp"

#include <fmt/format.h>
#include <sys/stat.h>

#include <algorithm>
#include <cctype>
#include <chrono>
#include <cmath>
#include <string_view>
#include <system_error>

namespace fuelring {

namespace fs = std::filesystem;

namespace {

/// Put behind the whole name.
constexpr std::string_view behind_name[] = {".aux.xml", ".ovr",     ".msk",
                                            ".sha256",  "-journal", "-wal"};
/// In place of the extension: parts of shapefiles and of MapInfo's formats, world files, headers.
constexpr std::string_view extensions[] = {
    "shp", "shx", "dbf", "prj",  "cpg", "qix", "qpj", "sbn", "sbx", "tfw", "wld", "pgw", "jgw",
    "j2w", "bpw", "hdr", "tifw", "tab", "dat", "map", "id",  "ind", "mif", "mid", "gfs", "xsd"};

std::string upper_case(std::string_view text)
{
    std::string upper{text};
    std::transform(upper.begin(), upper.end(), upper.begin(),
                   [](unsigned char c) { return static_cast<char>(std::toupper(c)); });
    return upper;
}

void add_stamp(const fs::path& file, InputStamps& stamps)
{
    struct stat s = {};
    if (stat(file.c_str(), &s) != 0 || !S_ISREG(s.st_mode))
        return;
    // An empty log of writes comes and goes when a database is read.
    if (s.st_size == 0 && file.string().ends_with("-wal"))
        return;
    stamps[file] = {fmt::format("{}:{}:{}:{}.{}", s.st_dev, s.st_ino, s.st_size, s.st_mtim.tv_sec,
                                s.st_mtim.tv_nsec),
                    fmt::format("{}.{}", s.st_ctim.tv_sec, s.st_ctim.tv_nsec)};
}

/// A file and those beside it that readers of its format may look at: `fuel.tfw`, `fuel.tif.msk`,
/// `roofs.dbf`, `roofs.gpkg-wal`. Sorted.
std::vector<fs::path> with_companions(const fs::path& file)
{
    std::vector<fs::path> files{file};
    const std::string stem = file.stem().string() + ".";
    std::error_code error, ignored;
    for (fs::directory_iterator at{file.parent_path(), error}, end; !error && at != end;
         at.increment(error))
        if (at->path().filename().string().starts_with(stem) && at->path() != file &&
            fs::is_regular_file(at->path(), ignored))
            files.push_back(at->path());
    if (error)
        throw std::system_error{error};
    std::sort(files.begin() + 1, files.end());
    return files;
}

} // namespace

InputStamps stamps_of(const fs::path& input)
{
    InputStamps stamps;
    add_stamp(input, stamps);
    for (const std::string_view behind : behind_name)
        add_stamp(input.string() + std::string{behind}, stamps);
    for (const std::string_view extension : extensions)
        for (const std::string& written : {std::string{extension}, upper_case(extension)})
            add_stamp(fs::path{input}.replace_extension(written), stamps);
    return stamps;
}

fs::path changed_file(const InputStamps& before, const InputStamps& now)
{
    for (const auto& [file, stamp] : before)
        if (const auto at = now.find(file); at == now.end() || at->second != stamp)
            return file;
    for (const auto& [file, stamp] : now)
        if (!before.contains(file))
            return file;
    return {};
}

bool written_alike(const InputStamps& before, const InputStamps& now)
{
    return std::equal(before.begin(), before.end(), now.begin(), now.end(),
                      [](const auto& a, const auto& b) {
                          return a.first == b.first && a.second.written == b.second.written;
                      });
}

std::string digest_with_companions(const fs::path& input)
{
    ByteWriter bytes;
    for (const fs::path& file : with_companions(input)) {
        bytes.put_text(file.filename().string());
        bytes.put_text(digest_of(file).sha256);
    }
    return digest_of_bytes(bytes.bytes()).sha256;
}

bool is_fresh(const fs::path& file)
{
    struct stat s = {};
    if (stat(file.c_str(), &s) != 0)
        return false;
    const double now =
        std::chrono::duration<double>(std::chrono::system_clock::now().time_since_epoch()).count();
    const double written =
        static_cast<double>(s.st_mtim.tv_sec) + 1e-9 * static_cast<double>(s.st_mtim.tv_nsec);
    return std::abs(now - written) < 1;
}

} // namespace fuelring
