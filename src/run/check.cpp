// SPDX-License-Identifier: Apache-2.0
#include "base/faults.hpp"
#include "base/grouped.hpp"
#include "io/cog/cog_writer.hpp"
#include "raster/share_classes.hpp"
#include "run/gate/gate.hpp"
#include "run/inputs/inputs.hpp"
#include "run/inputs/run_memory.hpp"
#include "run/inputs/systems.hpp"
#include "run/manifest/manifest.hpp"
#include "run/map.hpp"
#include "run/schedule/tiles.hpp"
#include "run/stages/slopes.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <filesystem>

namespace fuelring {

namespace {

// Measured on one core of a 2020s server (src/manual/performance.md); good to a factor of two.
constexpr double seconds_per_structure = 1.2e-4;
constexpr double seconds_per_block = 8e-3;
constexpr double bytes_per_block = 150e3; ///< of the outputs, compressed
constexpr double bytes_per_structure = 1200;
constexpr double bytes_per_ring_outline = 10e3;

constexpr std::size_t most_codes_said = 30; ///< an image has as many codes as values

struct RunEstimate {
    double seconds = 0;
    double memory_mib = 0;
    double disk_mib = 0;
};

/// Of the structures that reach the raster: those far off it take next to nothing.
RunEstimate estimate(const Inputs& inputs, const RingPlan& rings, bool ring_outlines,
                     const MemoryPlan& memory)
{
    const Grid& grid = inputs.raster->grid();
    const double widest_m = rings.widest_m();
    const auto structures = static_cast<double>(
        std::count_if(inputs.community.structures.begin(), inputs.community.structures.end(),
                      [&](const Structure& s) { return reaches(s, grid, widest_m); }));
    const auto blocks = static_cast<double>(
        TileIndex::of_reach(inputs.community, grid, out_block_cells, widest_m).tiles().size());
    const double outlines =
        ring_outlines ? structures * static_cast<double>(rings.outer_m.size()) : 0;
    return {(structures * seconds_per_structure + blocks * seconds_per_block) / memory.jobs + 0.2,
            memory.bytes / 0x1p20,
            (blocks * bytes_per_block + structures * bytes_per_structure +
             outlines * bytes_per_ring_outline) /
                0x1p20};
}

struct ClassShare {
    std::int64_t code;
    const FuelClass* fuel; ///< null where the table lacks the code
    std::int64_t cells;
};

std::vector<ClassShare> shares_of(const CodeCensus& census, const FuelClassTable& classes)
{
    std::vector<ClassShare> shares;
    for (const auto& [code, cells] : census.cells_of_code) {
        const auto index = classes.find(code);
        shares.push_back({code, index ? &classes[*index] : nullptr, cells});
    }
    std::stable_sort(shares.begin(), shares.end(),
                     [](const ClassShare& a, const ClassShare& b) { return a.cells > b.cells; });
    return shares;
}

nlohmann::json say_shares(const CodeCensus& census, const FuelClassTable& classes, Log& log)
{
    std::int64_t total = census.nodata_cells;
    for (const auto& [code, cells] : census.cells_of_code)
        total += cells;
    const auto percent = [total](std::int64_t cells) {
        return total ? 100.0 * static_cast<double>(cells) / static_cast<double>(total) : 0.0;
    };
    log.info(fmt::format("fuel around the structures ({} cells in squares of 128 cells):",
                         grouped(total)));
    nlohmann::json list = nlohmann::json::array();
    for (const ClassShare& s : shares_of(census, classes)) {
        const std::string label = s.fuel ? s.fuel->label : "not in the class table";
        const std::string_view group = s.fuel ? name_of(s.fuel->group) : "?";
        const double share = s.fuel ? static_cast<double>(s.fuel->conifer_share) / whole_share : 0;
        if (list.size() < most_codes_said)
            log.info(fmt::format("  {:5.1f}%  code {:>4}  {} ({}, conifer share {:g})",
                                 percent(s.cells), s.code, label, group, share));
        list.push_back({{"code", s.code},
                        {"label", label},
                        {"group", group},
                        {"conifer_share", share},
                        {"cells", s.cells},
                        {"percent", percent(s.cells)}});
    }
    if (list.size() > most_codes_said)
        log.info(fmt::format("  and {} more codes", list.size() - most_codes_said));
    if (census.nodata_cells > 0) {
        log.info(fmt::format("  {:5.1f}%  no data", percent(census.nodata_cells)));
        list.push_back({{"code", nullptr},
                        {"label", "no data"},
                        {"cells", census.nodata_cells},
                        {"percent", percent(census.nodata_cells)}});
    }
    return list;
}

/// The same of a raster of shares, in bands.
nlohmann::json say_share_bands(const CodeCensus& census, Log& log)
{
    ShareBands bands;
    std::int64_t total = census.nodata_cells + census.no_shares.cells;
    for (const auto& [share, cells] : census.cells_of_code) {
        bands.add(static_cast<std::int32_t>(share), cells);
        total += cells;
    }
    log.info(fmt::format("conifers around the structures ({} cells in squares of 128 cells):",
                         grouped(total)));
    nlohmann::json list = nlohmann::json::array();
    const auto say = [&](std::int64_t cells, const std::string& label, nlohmann::json mean) {
        if (cells == 0)
            return;
        const double percent = 100.0 * static_cast<double>(cells) / static_cast<double>(total);
        log.info(fmt::format("  {:5.1f}%  {}", percent, label));
        list.push_back({{"code", nullptr},
                        {"label", label},
                        {"conifer_share", std::move(mean)},
                        {"cells", cells},
                        {"percent", percent}});
    };
    for (std::size_t band = 0; band < share_bands; ++band)
        say(bands.cells[band], share_band_label(band),
            bands.cells[band] > 0 ? nlohmann::json(bands.mean(band)) : nlohmann::json());
    say(census.no_shares.cells, "not a share", nullptr);
    say(census.nodata_cells, "no data", nullptr);
    return list;
}

/// `map` would make the raster anew; here it is looked at as it is.
void say_classify_first(const FuelSource& fuel, Log& log)
{
    if (!std::filesystem::exists(fuel.path))
        throw Error{Failure::input, "classify has not made the fuel raster yet", fuel.path,
                    "run fuelring classify once, or fuelring map: run.classify makes it"};
    log.info("map would run classify first (run.classify); this is about the raster as it is now");
}

} // namespace

nlohmann::json run_check(const Config& config, const MapOptions& options, Log& log)
{
    if (config.run.classify)
        say_classify_first(config.inputs.fuel, log);
    const std::unique_ptr<Inputs> inputs = read_inputs(config, log);
    FaultList faults;
    faults.attempt(
        [&] { find_slopes(*inputs, config, workers_of(config.run.jobs, options.jobs), [] {}); });
    MemoryPlan memory;
    faults.attempt([&] { memory = plan_memory(*inputs, config, options.jobs, log); });
    CodeCensus census;
    nlohmann::json shares;
    faults.attempt([&] {
        census = census_around(*inputs, config.rings);
        shares = config.inputs.fuel.holds_shares() ? say_share_bands(census, log)
                                                   : say_shares(census, inputs->classes, log);
        judge_unknown_codes(*inputs, census, config.inputs.fuel);
    });
    faults.raise();
    for (const Warning& warning : inputs->warnings)
        log.warn(warning);
    say_slopes(*inputs, config.stretch, log);
    const RunEstimate e = estimate(*inputs, config.rings, config.output.ring_outlines, memory);
    const std::filesystem::path out = options.out.value_or(config.output.dir);
    InputGate gate{open_published(out), config, {.tell = true}, log};
    gate.look_at(*inputs);
    gate.look_at(census, *inputs);
    require_unchanged(inputs->files);
    log.info(fmt::format("map would write {} with {}: about {:.1f} s, {:.0f} MiB of memory, "
                         "{:.1f} MiB on disk (estimates)",
                         out.string(), limits_text(memory), e.seconds, e.memory_mib, e.disk_mib));
    return {{"program", program_versions()},
            {"community", config.community_name},
            {"structures", inputs->community.structures.size()},
            {"addresses", inputs->community.addresses.size()},
            {"crs", inputs->raster->crs().name()},
            {"crs_decision", inputs->raster->plan().decision},
            {"layers", systems_json(inputs->layers)},
            {"elevation", inputs->elevation ? slopes_json(*inputs) : nlohmann::json()},
            {"fuel_classes_around_structures", shares},
            {"gate", gate.json()},
            {"estimate",
             {{"seconds", e.seconds}, {"memory_mib", e.memory_mib}, {"disk_mib", e.disk_mib}}},
            {"limits", limits_json(memory)},
            {"out", out.string()}};
}

} // namespace fuelring
