// SPDX-License-Identifier: Apache-2.0
#include "run/publish/publish_set.hpp"

#include "base/small_file.hpp"
#include "run/publish/publish_fs.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>

namespace fuelring {

namespace fs = std::filesystem;
using nlohmann::json;

namespace {

/// SQLite's and GDAL's files beside a file. A write-ahead log beside a newer GeoPackage would be
/// played into it; old statistics would colour a newer raster.
constexpr std::array<std::string_view, 7> companion_suffixes = {
    "", "-wal", "-shm", "-journal", ".aux.xml", ".ovr", ".msk"};

/// A count as we write it. A number of another kind (1e30, -1, 1.5) would be turned into some other
/// number without a word.
std::uint64_t count_from(const json& number)
{
    constexpr std::uint64_t most = std::uint64_t{1}
                                   << 53; // what every reader of JSON can tell apart
    if (!number.is_number_unsigned() || number.get<std::uint64_t>() > most)
        throw std::invalid_argument{"not a count: " + number.dump()};
    return number.get<std::uint64_t>();
}

NamedDigests digests_from(const json& list)
{
    NamedDigests digests;
    for (const json& entry : list) {
        const auto name = entry.at("name").get<std::string>();
        if (!is_name_below(name))
            throw std::invalid_argument{"not a name below the folder: " + name};
        digests[name] = {entry.at("sha256").get<std::string>(), count_from(entry.at("size"))};
    }
    return digests;
}

PublishedSet set_from(const json& manifest)
{
    PublishedSet set;
    set.generation = static_cast<std::int64_t>(count_from(manifest.at("generation")));
    set.run_id = manifest.at("run_id").get<std::string>();
    set.begun_by = manifest.value("begun_by", set.run_id);
    set.files = digests_from(manifest.at("files"));
    set.carried = digests_from(manifest.at("carried"));
    set.state = PublishedSet::State::sound;
    return set;
}

constexpr std::size_t most_manifest_bytes = 64U << 20;
constexpr int deepest_nesting = 32;
/// No figure of ours is larger, and every number up to here becomes a whole number without
/// undefined behaviour.
constexpr double largest_number = 1e18;

} // namespace

bool is_name_below(const fs::path& name)
{
    return !name.empty() && name.is_relative() &&
           std::none_of(name.begin(), name.end(), [](const fs::path& part) {
               return part == "." || part == ".." || part.empty();
           });
}

bool is_companion(std::string_view entry, std::string_view name)
{
    return entry.starts_with(name) &&
           std::find(companion_suffixes.begin(), companion_suffixes.end(),
                     entry.substr(name.size())) != companion_suffixes.end();
}

bool PublishedSet::owns(const fs::path& name) const
{
    return is_sound() &&
           (name == manifest_name || std::any_of(files.begin(), files.end(), [&](const auto& file) {
                return is_companion(name.native(), file.first);
            }));
}

json read_manifest(const fs::path& folder)
{
    const auto require_sane = [](int depth, json::parse_event_t event, const json& parsed) {
        if (depth > deepest_nesting)
            throw std::runtime_error{"it is nested too deep"};
        if (event == json::parse_event_t::value && parsed.is_number() &&
            std::abs(parsed.get<double>()) > largest_number)
            throw std::runtime_error{"a number is too large: " + parsed.dump()};
        return true;
    };
    return json::parse(small_file(folder / manifest_name, most_manifest_bytes), require_sane);
}

PublishedSet set_of(const json& manifest)
{
    try {
        return set_from(manifest);
    } catch (const json::exception&) {
        return PublishedSet{.state = PublishedSet::State::damaged};
    } catch (const std::invalid_argument&) { // no name below the folder, or no count
        return PublishedSet{.state = PublishedSet::State::damaged};
    }
}

bool has_manifest(const fs::path& folder)
{
    return exists_here(folder / manifest_name);
}

PublishedSet read_set(const fs::path& folder)
{
    if (!has_manifest(folder))
        return {};
    try {
        return set_of(read_manifest(folder));
    } catch (const json::exception&) {
        return PublishedSet{.state = PublishedSet::State::damaged};
    } catch (const std::runtime_error&) {
        return PublishedSet{.state = PublishedSet::State::damaged};
    }
}

/// A file that cannot be read is damage like any other: it must not stop the set that replaces it.
std::optional<FileDamage> damage_of_file(const fs::path& folder, const std::string& name,
                                         const FileDigest& digest)
{
    const std::string file = (folder / name).string();
    if (!exists_here(folder / name))
        return FileDamage{fmt::format("{} is missing, run.json names it", file), true};
    const auto damaged = [&file](const std::string& how) {
        return FileDamage{fmt::format("{} is damaged: {}", file, how)};
    };
    try {
        const FileDigest found = entry_digest(folder / name);
        if (found.size != digest.size)
            return damaged(fmt::format("{} bytes, {} by run.json", found.size, digest.size));
        if (found != digest)
            return damaged("its SHA-256 is not the one in run.json");
        return std::nullopt;
    } catch (const Error& error) {
        return damaged(error.what());
    }
}

std::vector<std::string> damage_of(const PublishedSet& set, const fs::path& folder)
{
    std::vector<std::string> lines;
    if (set.state == PublishedSet::State::damaged)
        lines.push_back(fmt::format("{} is damaged or no manifest of fuelring: what was published "
                                    "there cannot be checked",
                                    (folder / manifest_name).string()));
    for (const auto& [name, digest] : set.files)
        if (auto damage = damage_of_file(folder, name, digest))
            lines.push_back(std::move(damage->text));
    return lines;
}

json to_json(const NamedDigests& digests)
{
    json list = json::array();
    for (const auto& [name, digest] : digests)
        list.push_back({{"name", name}, {"size", digest.size}, {"sha256", digest.sha256}});
    return list;
}

} // namespace fuelring
