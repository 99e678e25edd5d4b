// SPDX-License-Identifier: Apache-2.0
#include "run/check.hpp"

#include "io/raster_out.hpp"
#include "run/inputs.hpp"
#include "run/manifest.hpp"
#include "run/tiles.hpp"

#include <fmt/format.h>
#include <tbb/task_arena.h>

#include <algorithm>

namespace fuelring {

namespace {

// Measured on one core of a 2020s server (README, "Speed and memory"); good to a factor of two.
constexpr double seconds_per_structure = 3e-4;
constexpr double seconds_per_block = 8e-3;
constexpr double bytes_per_structure = 2500;
constexpr double bytes_per_block = 150e3; ///< of the outputs, compressed
constexpr double base_bytes = 60e6;

struct Estimate {
    double seconds = 0;
    double memory_mib = 0;
    double disk_mib = 0;
};

/// Memory: the structures and their results, and for each worker one window of classes and sums
/// (tile and twice the widest ring, 2 and 16 bytes a cell) and one output block (50 bytes a cell).
Estimate estimate(const Inputs& inputs, const Config& config, int jobs)
{
    const Grid grid = inputs.raster->grid().at_scale(inputs.community.structures.front().map_scale);
    const auto structures = static_cast<double>(inputs.community.structures.size());
    const auto blocks = static_cast<double>(
        TileIndex::of_reach(inputs.community, grid, out_block_cells, config.rings.widest_m())
            .tiles()
            .size());
    const double halo =
        2 * config.rings.widest_m() / std::min(grid.cell_width_m(), grid.cell_height_m());
    const double window = (config.tile_cells + halo) * (config.tile_cells + halo) * 2 +
                          (128 + halo) * (128 + halo) * 16 +
                          50.0 * out_block_cells * out_block_cells;
    return {(structures * seconds_per_structure + blocks * seconds_per_block) / jobs + 0.2,
            (base_bytes + structures * bytes_per_structure + jobs * window) / 0x1p20,
            (blocks * bytes_per_block + structures * 1200) / 0x1p20};
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
    log.info(fmt::format("fuel around the structures ({} cells in squares of 128 cells):", total));
    nlohmann::json list = nlohmann::json::array();
    for (const ClassShare& s : shares_of(census, classes)) {
        const std::string label = s.fuel ? s.fuel->label : "not in the class table";
        const std::string_view group = s.fuel ? name_of(s.fuel->group) : "?";
        const double share = s.fuel ? static_cast<double>(s.fuel->conifer_share) / whole_share : 0;
        log.info(fmt::format("  {:5.1f} %  code {:>4}  {} ({}, conifer share {:g})",
                             percent(s.cells), s.code, label, group, share));
        list.push_back({{"code", s.code},
                        {"label", label},
                        {"group", group},
                        {"conifer_share", share},
                        {"cells", s.cells},
                        {"percent", percent(s.cells)}});
    }
    if (census.nodata_cells > 0) {
        log.info(fmt::format("  {:5.1f} %  no data", percent(census.nodata_cells)));
        list.push_back({{"code", nullptr},
                        {"label", "no data"},
                        {"cells", census.nodata_cells},
                        {"percent", percent(census.nodata_cells)}});
    }
    return list;
}

} // namespace

nlohmann::json run_check(const Config& config, const MapOptions& options, Log& log)
{
    for (const std::string& table : config.not_used)
        log.warn(fmt::format("{} is not used by this version", table));
    const std::unique_ptr<Inputs> inputs = read_inputs(config, log);
    const CodeCensus census = census_around(*inputs, config.rings);
    const nlohmann::json shares = say_shares(census, inputs->classes, log);
    judge_unknown_codes(*inputs, census, config);
    for (const Warning& warning : inputs->warnings)
        log.warn(warning);
    const int asked = options.jobs > 0 ? options.jobs : config.jobs;
    const int jobs = asked > 0 ? asked : tbb::this_task_arena::max_concurrency();
    const Estimate e = estimate(*inputs, config, jobs);
    const std::filesystem::path out = options.out.value_or(config.out_dir);
    log.info(
        fmt::format("map would write {} with {} workers: about {:.1f} s, {:.0f} MiB of memory, "
                    "{:.1f} MiB on disk (estimates)",
                    out.string(), jobs, e.seconds, e.memory_mib, e.disk_mib));
    return {{"program", program_versions()},
            {"community", config.community_name},
            {"structures", inputs->community.structures.size()},
            {"addresses", inputs->community.addresses.size()},
            {"crs", inputs->raster->crs().name()},
            {"crs_decision", inputs->raster->plan().decision},
            {"fuel_classes_around_structures", shares},
            {"estimate",
             {{"seconds", e.seconds}, {"memory_mib", e.memory_mib}, {"disk_mib", e.disk_mib}}},
            {"out", out.string()}};
}

} // namespace fuelring
