// SPDX-License-Identifier: Apache-2.0
#include "run/inputs.hpp"

#include "io/community_in.hpp"
#include "io/digest.hpp"
#include "io/gdal_environment.hpp"
#include "io/gdal_setup.hpp"
#include "run/coarse_cells.hpp"
#include "run/multipliers.hpp"
#include "run/slopes.hpp"
#include "run/systems.hpp"
#include "run/tiles.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <chrono>
#include <system_error>
#include <thread>

namespace fuelring {

namespace {

constexpr int census_tile_cells = 128;
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
void check_sidecars(std::vector<InputFile>& files, Log& log)
{
    for (InputFile& file : files) {
        file.sidecar = read_sidecar(file.path);
        if (!file.sidecar)
            continue;
        require_digest(*file.sidecar, digest_of_input(file), file.path);
        log.info(fmt::format("{}: as {} says", file.path.string(),
                             file.sidecar->path.filename().string()));
    }
}

/// "37 (1204 cells)" for each code that the table lacks.
std::vector<std::string> unknown_codes(const CodeCensus& census, const FuelClassTable& classes)
{
    std::vector<std::string> unknown;
    for (const auto& [code, cells] : census.cells_of_code)
        if (!classes.find(code))
            unknown.push_back(fmt::format("{} ({} cells)", code, cells));
    return unknown;
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

/// Vector inputs, as visits found them to be.
void read_community_of(const Config& config, Inputs& inputs, Log& log)
{
    GoneStructures gone;
    if (config.corrections) {
        add_corrected_classes(inputs.classes);
        inputs.field_checks.emplace().rows =
            read_corrections(*config.corrections, inputs.raster->analysis(), inputs.layers);
        gone = gone_of(*inputs.field_checks);
    }
    inputs.community = read_community({config.structures, config.addresses, config.neighbourhoods,
                                       config.parcels, config.corrections ? &gone : nullptr},
                                      inputs.raster->analysis(), inputs.warnings, &inputs.layers);
    if (!inputs.field_checks)
        return;
    apply_field_checks(*inputs.field_checks, config.corrections->path, *inputs.raster,
                       inputs.community, gone);
    say_field_checks(*inputs.field_checks, log);
    warn_of_idle_rows(*inputs.field_checks, inputs.warnings);
}

/// The structures are looked at once it is known that the raster has a place on the ground.
std::unique_ptr<FuelRaster> open_fuel(const Config& config, const FuelClassTable& classes)
{
    std::optional<StructureBoxes> boxes;
    StudyArea study;
    study.area = [&](const Crs& crs, const Box& raster) {
        return boxes.emplace(config.structures).area(crs, raster);
    };
    study.structures = [&](const Crs& crs, const Box& raster, const GeoArea& area) {
        return boxes.value().on_raster(crs, raster, area);
    };
    study.reach_m = config.furthest_m();
    return std::make_unique<FuelRaster>(config.fuel, classes, study);
}

} // namespace

std::unique_ptr<Inputs> read_inputs(const Config& config, Log& log,
                                    const std::map<std::string, std::string>& digests)
{
    admit_remote_inputs(config.remote_inputs);
    std::vector<InputFile> files = local_files(config);
    for (InputFile& file : files)
        if (const auto at = digests.find(file.role); at != digests.end())
            file.digest = at->second;
    wait_for_writers(files);
    check_sidecars(files, log);
    auto inputs = std::make_unique<Inputs>(FuelClassTable::read(config.fuel.classes));
    inputs->files = std::move(files);
    inputs->remote = remote_inputs(config);
    inputs->environment = gdal_environment();
    if (!inputs->environment.empty())
        log.info(
            fmt::format("heeded of the environment: {}", fmt::join(inputs->environment, ", ")));
    inputs->raster = open_fuel(config, inputs->classes);
    const FuelRaster& raster = *inputs->raster;
    log.info(fmt::format("fuel: {} ({})", config.fuel.path, raster.description()));
    log.info(fmt::format("analysis in {}", raster.crs().name()));
    log.info(raster.plan().decision);
    if (config.elevation)
        inputs->elevation = open_elevation(*config.elevation, raster.analysis(), *inputs, log);
    read_community_of(config, *inputs, log);
    inputs->community.susceptibility = multipliers_of(config, inputs->community, inputs->warnings);
    judge_systems(config, *inputs, log);
    const Community& community = inputs->community;
    log.info(fmt::format("{} structures, {} addresses, {} neighbourhoods",
                         community.structures.size(), community.addresses.size(),
                         community.neighbourhoods.size()));
    if (community.owners)
        log.info(fmt::format("{} parcels near them, classes of owners: {}",
                             community.owners->parcels,
                             fmt::join(community.owners->classes, ", ")));
    if (auto coarse = coarse_cells_warning(community, raster.grid(), config.rings))
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

CodeCensus census_around(const Inputs& inputs, const RingPlan& plan)
{
    const FuelRaster& raster = *inputs.raster;
    const TileIndex index =
        TileIndex::of_reach(inputs.community, raster.grid(), census_tile_cells, plan.widest_m());
    FuelRaster::Reader reader{raster};
    CodeCensus census;
    for (const TileIndex::Tile& tile : index.tiles())
        reader.count(intersection({tile.col * census_tile_cells, tile.row * census_tile_cells,
                                   census_tile_cells, census_tile_cells},
                                  raster.grid().extent()),
                     census);
    return census;
}

void judge_unknown_codes(Inputs& inputs, const CodeCensus& census, const Config& config)
{
    const auto unknown = unknown_codes(census, inputs.classes);
    if (unknown.empty())
        return;
    if (!config.fuel.unknown_codes_are_unmapped)
        throw Error{
            Failure::input,
            fmt::format("{} codes around the structures are not in the fuel-class table: {}",
                        unknown.size(), fmt::join(unknown, ", ")),
            config.fuel.path,
            fmt::format("add them to {} or set inputs.fuel.unknown_codes = \"unmapped\"",
                        config.fuel.classes)};
    inputs.warnings.push_back({"unknown_codes",
                               fmt::format("{} codes are not in the fuel-class table and count as "
                                           "unmapped",
                                           unknown.size()),
                               static_cast<std::int64_t>(unknown.size()), unknown});
}

} // namespace fuelring
