// SPDX-License-Identifier: Apache-2.0
#include "run/inputs/input_files.hpp"

#include "base/faults.hpp"
#include "base/program/digest.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <chrono>
#include <system_error>
#include <thread>

namespace fuelring {

namespace {

constexpr std::chrono::milliseconds two_looks{20}; ///< above a tick of any file system's clock

FileDigest digest_of_input(const InputFile& file)
{
    try {
        return digest_of(file.path);
    } catch (const std::system_error& e) {
        throw Error{Failure::input, e.what(), file.path.string(), "see " + file.role};
    }
}

/// Whether the bytes are still those of before the run.
bool has_digest(const InputFile& file)
{
    try {
        return !file.digest.empty() && digest_with_companions(file.path) == file.digest;
    } catch (const std::system_error&) {
        return false;
    }
}

/// What was written a moment ago may still be: a second look sees a file that grows.
void wait_for_writers(const std::vector<InputFile>& files)
{
    if (std::any_of(files.begin(), files.end(),
                    [](const InputFile& file) { return is_fresh(file.path); }))
        std::this_thread::sleep_for(two_looks);
    require_unchanged(files);
}

/// Files that are not what their makers say are refused before anything is computed.
void check_sidecars(std::vector<InputFile>& files, FaultList& faults, Log& log)
{
    for (InputFile& file : files)
        faults.attempt([&] {
            file.sidecar = read_sidecar(file.path);
            if (!file.sidecar)
                return;
            require_digest(*file.sidecar, digest_of_input(file), file.path);
            log.detail(fmt::format("{}: as {} says", file.path.string(),
                                   file.sidecar->path.filename().string()));
        });
}

/// One entry for all tiles of a raster, whose digest is that of theirs in order.
void gather_tiles(nlohmann::json& digests, const std::vector<InputFile>& files)
{
    for (const InputFile& file : files) {
        const std::string raster = raster_of_role(file.role);
        if (raster.empty())
            continue;
        nlohmann::json& entry = digests[raster];
        nlohmann::json& tile = digests.at(file.role);
        entry["path"] =
            std::filesystem::path{tile.at("path").get<std::string>()}.parent_path().string();
        entry["size"] =
            entry.value("size", std::uintmax_t{0}) + tile.at("size").get<std::uintmax_t>();
        entry["tiles"].push_back(std::move(tile));
        digests.erase(file.role);
    }
    for (auto& [role, entry] : digests.items())
        if (entry.contains("tiles")) {
            std::string all;
            for (const nlohmann::json& tile : entry.at("tiles"))
                all += tile.at("sha256").get<std::string>() + "\n";
            entry["sha256"] = digest_of_bytes(all).sha256;
        }
}

} // namespace

void add_raster(const std::string& role, const RasterFiles& files, InputPaths& paths)
{
    if (files.tiles.empty())
        paths.emplace_back(role, files.path);
    for (const std::string& tile : files.tiles)
        paths.emplace_back(fmt::format("{} {}", role, tile), tile);
}

std::string raster_of_role(const std::string& role)
{
    const std::size_t space = role.find(' ');
    return space == role.npos ? std::string{} : role.substr(0, space);
}

InputPaths configured_inputs(const Config& config)
{
    const InputSettings& inputs = config.inputs;
    InputPaths paths;
    add_raster("inputs.fuel.path", inputs.fuel.files(), paths);
    if (!inputs.fuel.holds_shares())
        paths.emplace_back("inputs.fuel.classes", inputs.fuel.classes);
    paths.emplace_back("inputs.structures.path", inputs.structures.path);
    const auto add = [&paths](const std::string& key, const auto& source) {
        if (source)
            paths.emplace_back(key, source->path);
    };
    for (const AttributeSource& a : inputs.attributes)
        paths.emplace_back(fmt::format("inputs.structures.attributes.{}", a.column), a.multipliers);
    add("inputs.addresses.path", inputs.addresses);
    add("inputs.neighbourhoods.path", inputs.neighbourhoods);
    if (inputs.elevation)
        add_raster("inputs.elevation.path", inputs.elevation->files(), paths);
    add("inputs.parcels.path", inputs.parcels);
    if (config.run.also.treat) {
        add("inputs.roads.path", inputs.roads);
        TreatmentSettings::for_each_layer(*config.treatment, [&](const char* name, auto& layer) {
            add(fmt::format("treat.{}.path", name), layer);
        });
    }
    add("inputs.corrections.path", inputs.corrections);
    if (!config.report.logo.empty())
        paths.emplace_back("report.logo", config.report.logo);
    if (config.sensitivity) {
        if (!config.sensitivity->confusion.empty())
            paths.emplace_back("sensitivity.confusion", config.sensitivity->confusion);
        for (const SensitivityTrial& trial : config.sensitivity->trials)
            if (!trial.classes.empty())
                paths.emplace_back(fmt::format("sensitivity.trials.{}", trial.name), trial.classes);
    }
    if (const auto& area = inputs.structures.area; area && !area->box)
        paths.emplace_back("community.area.path", area->path);
    return paths;
}

std::vector<InputFile> local_files(const InputPaths& paths)
{
    std::vector<InputFile> files;
    for (const auto& [role, path] : paths)
        if (std::error_code error; std::filesystem::is_regular_file(path, error))
            files.push_back({role, path, stamps_of(path)});
    return files;
}

void settle(std::vector<InputFile>& files, const std::map<std::string, std::string>& digests,
            FaultList& faults, Log& log)
{
    for (InputFile& file : files)
        if (const auto at = digests.find(file.role); at != digests.end())
            file.digest = at->second;
    wait_for_writers(files);
    check_sidecars(files, faults, log);
}

nlohmann::json digests_of(const std::vector<InputFile>& files)
{
    nlohmann::json digests = nlohmann::json::object();
    for (const InputFile& file : files) {
        const FileDigest digest = digest_of_input(file);
        nlohmann::json& entry = digests[file.role];
        entry = {{"path", file.path.string()}, {"size", digest.size}, {"sha256", digest.sha256}};
        if (file.sidecar) {
            require_digest(*file.sidecar, digest, file.path);
            entry["sidecar"] = file.sidecar->path.string();
        }
    }
    gather_tiles(digests, files);
    return digests;
}

void require_unchanged(const std::vector<InputFile>& files)
{
    for (const InputFile& file : files) {
        const InputStamps now = stamps_of(file.path);
        const auto changed = changed_file(file.stamps, now);
        if (!changed.empty() && !(written_alike(file.stamps, now) && has_digest(file)))
            throw Error{Failure::input, "the file changed while it was read", changed.string(),
                        "run again when whoever writes " + file.role + " has finished"};
    }
}

} // namespace fuelring
