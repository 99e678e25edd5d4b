// SPDX-License-Identifier: Apache-2.0
#include "run/inputs/inputs.hpp"

#include "base/faults.hpp"
#include "base/program/digest.hpp"
#include "io/community/community_in.hpp"
#include "io/gdal/environment.hpp"
#include "io/gdal/setup.hpp"
#include "run/inputs/coarse_cells.hpp"
#include "run/inputs/elevation_input.hpp"
#include "run/inputs/multipliers.hpp"
#include "run/inputs/systems.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <chrono>
#include <memory>
#include <new>
#include <optional>
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

} // namespace

std::vector<std::pair<std::string, std::string>> configured_inputs(const Config& config)
{
    std::vector<std::pair<std::string, std::string>> inputs{
        {"inputs.fuel.path", config.fuel.path},
        {"inputs.fuel.classes", config.fuel.classes},
        {"inputs.structures.path", config.structures.path}};
    for (const AttributeSource& a : config.attributes)
        inputs.emplace_back(fmt::format("inputs.structures.attributes.{}", a.column),
                            a.multipliers);
    if (config.addresses)
        inputs.emplace_back("inputs.addresses.path", config.addresses->path);
    if (config.neighbourhoods)
        inputs.emplace_back("inputs.neighbourhoods.path", config.neighbourhoods->path);
    if (config.elevation)
        inputs.emplace_back("inputs.elevation.path", config.elevation->path);
    if (config.parcels)
        inputs.emplace_back("inputs.parcels.path", config.parcels->path);
    if (config.also.treat) {
        if (const auto& layer = config.treatment->keep_out)
            inputs.emplace_back("treat.keep_out.path", layer->path);
        if (const auto& layer = config.treatment->barriers)
            inputs.emplace_back("treat.barriers.path", layer->path);
    }
    if (config.corrections)
        inputs.emplace_back("inputs.corrections.path", config.corrections->path);
    return inputs;
}

std::vector<InputFile> local_files(const Config& config)
{
    std::vector<InputFile> files;
    for (const auto& [role, path] : configured_inputs(config)) {
        std::error_code error;
        if (std::filesystem::is_regular_file(path, error))
            files.push_back({role, path, stamps_of(path)});
    }
    return files;
}

namespace {

/// The files as they are before anything of them is read.
std::vector<InputFile> settled_files(std::vector<InputFile> files,
                                     const std::map<std::string, std::string>& digests,
                                     FaultList& faults, Log& log)
{
    for (InputFile& file : files)
        if (const auto at = digests.find(file.role); at != digests.end())
            file.digest = at->second;
    wait_for_writers(files);
    check_sidecars(files, faults, log);
    return files;
}

CommunitySources sources_of(const Config& config, GoneStructures* gone)
{
    return {config.structures, config.addresses, config.neighbourhoods, config.parcels, gone};
}

/// An empty table where there is none to be read: rasters and layers can be looked at nevertheless.
std::unique_ptr<Inputs> with_classes(const std::string& table, FaultList& faults)
{
    std::unique_ptr<Inputs> inputs;
    faults.attempt([&] { inputs = std::make_unique<Inputs>(FuelClassTable::read(table)); });
    return inputs ? std::move(inputs)
                  : std::make_unique<Inputs>(FuelClassTable{std::vector<FuelClass>{}});
}

/// False where the raster cannot be read, or the structures do not lie where it has a grid for
/// them.
bool open_fuel(const FuelSource& fuel, const StructureSource& structures, double reach_m,
               Inputs& inputs, FaultList& faults, Log& log)
{
    std::optional<StructureBoxes> boxes; // looked at once the raster has a place on the ground
    StudyArea study;
    study.area = [&](const Crs& crs, const Box& raster) {
        return boxes.emplace(structures).area(crs, raster);
    };
    study.structures = [&](const Crs& crs, const Box& raster, const GeoArea& area) {
        return boxes.value().on_raster(crs, raster, area);
    };
    study.reach_m = reach_m;
    if (!faults.attempt(
            [&] { inputs.raster = std::make_unique<FuelRaster>(fuel, inputs.classes, study); }))
        return false;
    const FuelRaster& raster = *inputs.raster;
    log.detail(fmt::format("fuel: {} ({})", fuel.path, raster.description()));
    log.detail(fmt::format("analysis in {}", raster.crs().name()));
    log.detail(raster.plan().decision);
    return true;
}

/// Vector inputs, as visits found them to be.
void read_community_of(const Config& config, Inputs& inputs, FaultList& faults, Log& log)
{
    GoneStructures gone;
    if (config.corrections)
        faults.attempt([&] {
            add_corrected_classes(inputs.classes);
            inputs.field_checks.emplace().rows =
                read_corrections(*config.corrections, inputs.raster->analysis(), inputs.layers);
            gone = gone_of(*inputs.field_checks);
        });
    inputs.community =
        read_community(sources_of(config, config.corrections ? &gone : nullptr),
                       inputs.raster->analysis(), inputs.warnings, &inputs.layers, faults);
    if (!inputs.field_checks || !faults.empty())
        return;
    faults.attempt([&] {
        apply_field_checks(*inputs.field_checks, config.corrections->path, *inputs.raster,
                           inputs.community, gone);
        say_field_checks(*inputs.field_checks, log);
        warn_of_idle_rows(*inputs.field_checks, inputs.warnings);
    });
}

/// Whether there is memory to look at further inputs: what failed may have failed for want of it,
/// and GDAL ends the process where it gets none.
bool has_room()
{
    constexpr std::size_t room_bytes = 32U << 20;
    try {
        std::string room;
        room.reserve(room_bytes);
        return room.capacity() >= room_bytes;
    } catch (const std::bad_alloc&) {
        return false;
    }
}

/// Where there is no raster: enough to look whether heights can be read.
AnalysisGrid anywhere()
{
    return {Grid{{0, 1, 0, 0, 0, -1}, 1, 1}, Crs::wgs84()};
}

/// What is wrong with each of the inputs goes into `faults`.
void read_layers(const Config& config, Inputs& inputs, FaultList& faults, Log& log)
{
    if (open_fuel(config.fuel, config.structures, config.furthest_m(), inputs, faults, log)) {
        if (config.elevation)
            faults.attempt([&] {
                inputs.elevation =
                    open_elevation(*config.elevation, inputs.raster->analysis(), inputs, log);
            });
        read_community_of(config, inputs, faults, log);
    } else if (has_room()) {
        look_at_structures(config.structures, faults);
        look_at_other_layers(sources_of(config, nullptr), config.corrections, faults);
        if (config.elevation && !is_connection_string(config.elevation->path))
            faults.attempt([&] { ElevationRaster{*config.elevation, anywhere()}; });
    }
    faults.attempt([&] {
        inputs.community.susceptibility = multipliers_of(config.attributes, config.structures.path,
                                                         inputs.community, inputs.warnings);
    });
    const bool readable = inputs.classes.is_listed(1) && !inputs.community.structures.empty();
    if (readable && !faults.empty())
        faults.attempt(
            [&] { judge_unknown_codes(inputs, census_around(inputs, config.rings), config); });
}

void say_community(const Inputs& inputs, Log& log)
{
    const Community& community = inputs.community;
    log.detail(fmt::format("{} structures, {} addresses, {} neighbourhoods",
                           community.structures.size(), community.addresses.size(),
                           community.neighbourhoods.size()));
    if (community.owners)
        log.detail(fmt::format("{} parcels near them, classes of owners: {}",
                               community.owners->parcels,
                               fmt::join(community.owners->classes, ", ")));
}

} // namespace

std::unique_ptr<Inputs> read_inputs(const Config& config, Log& log,
                                    const std::map<std::string, std::string>& digests)
{
    admit_remote_inputs(config.remote_inputs);
    FaultList faults;
    std::vector<InputFile> files = settled_files(local_files(config), digests, faults, log);
    std::unique_ptr<Inputs> inputs = with_classes(config.fuel.classes, faults);
    inputs->files = std::move(files);
    faults.attempt([&] { inputs->remote = remote_inputs(config); });
    inputs->environment = gdal_environment();
    if (!inputs->environment.empty())
        log.detail(
            fmt::format("using environment settings: {}", fmt::join(inputs->environment, ", ")));
    read_layers(config, *inputs, faults, log);
    if (faults.empty())
        judge_systems(config.reprojected_within_m, *inputs, log);
    faults.raise();
    say_community(*inputs, log);
    if (auto coarse = coarse_cells_warning(inputs->community, inputs->raster->grid(), config.rings))
        inputs->warnings.push_back(std::move(*coarse));
    return inputs;
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
