// SPDX-License-Identifier: Apache-2.0
#include "run/config/config.hpp"

#include "base/faults.hpp"
#include "base/small_file.hpp"
#include "io/gdal/setup.hpp"
#include "run/config/config_gate.hpp"
#include "run/config/config_inputs.hpp"
#include "run/config/config_keys.hpp"
#include "run/config/config_table.hpp"
#include "run/config/config_terrain.hpp"
#include "run/config/config_uncertainty.hpp"
#include "run/config/toml_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <sstream>
#include <stdexcept>

namespace fuelring {

namespace {

constexpr double widest_ring_m = 10'000; ///< beyond it a distance is no longer a metre figure
constexpr std::size_t most_rings = 50;   ///< each has columns of its own in every table
/// Weights that sum to less are as good as none, and lose digits.
constexpr double least_sum_of_weights = 1e-6;
constexpr double most_minutes = 100'000;
constexpr std::int64_t most_jobs = 1024;
constexpr std::int64_t most_tile_cells = 8192;
constexpr std::int64_t least_memory_mb = 64;
constexpr std::int64_t most_memory_mb = 1 << 24;
constexpr std::int64_t most_history_runs = 10'000;

std::string read_text(const std::filesystem::path& file)
{
    try {
        return small_file(file, most_text_bytes);
    } catch (const std::runtime_error& e) {
        throw Error{Failure::usage, std::string{"the configuration cannot be read: "} + e.what(),
                    file.string(), "name a TOML file; man fuelring.toml shows one"};
    }
}

std::string text_of_map(toml::table table)
{
    table.erase("treat");
    if (toml::table* run = table["run"].as_table()) {
        run->erase("also");
        run->erase("minutes");
        if (run->empty())
            table.erase("run");
    }
    table.erase("gate");
    std::ostringstream text;
    text << table;
    return text.str();
}

void require_rising(const ConfigTable& rings, const std::vector<double>& outer_m)
{
    if (outer_m.size() > most_rings)
        throw rings.wrong("outer_m",
                          fmt::format("{} rings; {} is the most", outer_m.size(), most_rings),
                          "leave distances out: every ring has columns of its own in the tables");
    for (std::size_t k = 0; k < outer_m.size(); ++k) {
        if (outer_m[k] <= 0 || outer_m[k] > widest_ring_m)
            throw rings.wrong("outer_m",
                              fmt::format("a ring distance of {} m is out of range", outer_m[k]),
                              fmt::format("distances are above 0 and at most {} m", widest_ring_m));
        if (k > 0 && outer_m[k] <= outer_m[k - 1])
            throw rings.wrong("outer_m",
                              fmt::format("{} does not rise above {}", outer_m[k], outer_m[k - 1]),
                              "list the distances from near to far, each once");
    }
}

void require_weights(const ConfigTable& rings, const RingPlan& plan)
{
    if (plan.weight.size() != plan.outer_m.size())
        throw rings.wrong(
            "weight",
            fmt::format("{} weights for {} distances", plan.weight.size(), plan.outer_m.size()),
            "give one weight for each of rings.outer_m");
    double sum = 0;
    for (const double w : plan.weight) {
        if (w < 0)
            throw rings.wrong("weight", fmt::format("{} is negative", w),
                              "weights are 0 or more; they are scaled to sum 1");
        sum += w;
    }
    if (!(sum >= least_sum_of_weights))
        throw rings.wrong(
            "weight", "all weights are 0, or next to nothing",
            fmt::format("give the rings weights that sum to {} or more", least_sum_of_weights));
}

void read_near(const ConfigTable& rings, Config& config)
{
    const std::vector<double>& outer_m = config.rings.outer_m;
    config.near_m =
        rings.number("near_m").value_or(outer_m[std::min<std::size_t>(1, outer_m.size() - 1)]);
    const auto found = std::find(outer_m.begin(), outer_m.end(), config.near_m);
    if (found == outer_m.end())
        throw rings.wrong("near_m", fmt::format("{} is none of rings.outer_m", config.near_m),
                          fmt::format("use one of {}", fmt::join(outer_m, ", ")));
    config.near_ring = static_cast<std::size_t>(found - outer_m.begin());
}

void read_rings(const ConfigTable& root, Config& config)
{
    const auto rings = root.table("rings");
    if (!rings)
        return;
    config.rings.outer_m = rings->numbers("outer_m").value_or(config.rings.outer_m);
    config.rings.weight = rings->numbers("weight").value_or(config.rings.weight);
    require_rising(*rings, config.rings.outer_m);
    require_weights(*rings, config.rings);
    read_near(*rings, config);
}

void read_run(const ConfigTable& root, Config& config)
{
    const auto run = root.table("run");
    if (!run)
        return;
    config.jobs = static_cast<int>(run->whole("jobs", 0, most_jobs).value_or(0));
    config.tile_cells = static_cast<int>(
        run->whole("tile_cells", least_tile_cells, most_tile_cells).value_or(default_tile_cells));
    if (const auto mb = run->whole("memory_mb", least_memory_mb, most_memory_mb))
        config.memory_mb = static_cast<int>(*mb);
    config.minutes = run->number("minutes");
    if (config.minutes && !(*config.minutes > 0 && *config.minutes <= most_minutes))
        throw run->wrong("minutes",
                         fmt::format("{} where a number of minutes is expected", *config.minutes),
                         fmt::format("minutes are above 0 and at most {}", most_minutes));
    config.also = read_also(*run, root.has("treat"));
    config.remote_inputs = run->flag("remote_inputs", false);
}

/// run.remote_inputs is for all inputs.
void admit_remote(Config& config)
{
    const auto admit = [&config](auto& source) {
        if (source)
            source->remote_allowed = config.remote_inputs;
    };
    config.structures.remote_allowed = config.remote_inputs;
    config.fuel.remote_allowed = config.remote_inputs;
    admit(config.addresses);
    admit(config.neighbourhoods);
    admit(config.elevation);
    admit(config.parcels);
    admit(config.corrections);
    if (config.treatment) {
        admit(config.treatment->keep_out);
        admit(config.treatment->barriers);
    }
}

/// A run replaces the output folder as a whole: nothing it reads may lie inside.
void require_apart(const ConfigTable& output, const Config& config)
{
    const auto refuse_inside = [&](const std::filesystem::path& path, std::string_view what) {
        const std::filesystem::path relative = path.lexically_relative(config.out_dir);
        if (!relative.empty() && *relative.begin() != "..")
            throw output.wrong(
                "dir", fmt::format("{} lies inside the output folder", what),
                "a run replaces the whole folder: choose one with nothing else in it");
    };
    refuse_inside(std::filesystem::absolute(config.file).lexically_normal(), "this file");
    refuse_inside(config.structures.path, "inputs.structures.path");
    refuse_inside(config.fuel.path, "inputs.fuel.path");
    refuse_inside(config.fuel.classes, "inputs.fuel.classes");
    for (const AttributeSource& a : config.attributes)
        refuse_inside(a.multipliers, "inputs.structures.attributes.multipliers");
    if (config.addresses)
        refuse_inside(config.addresses->path, "inputs.addresses.path");
    if (config.neighbourhoods)
        refuse_inside(config.neighbourhoods->path, "inputs.neighbourhoods.path");
    if (config.elevation)
        refuse_inside(config.elevation->path, "inputs.elevation.path");
    if (config.parcels)
        refuse_inside(config.parcels->path, "inputs.parcels.path");
    if (config.corrections)
        refuse_inside(config.corrections->path, "inputs.corrections.path");
}

void read_rank_by(const ConfigTable& output, Config& config)
{
    if (!output.has("rank_by"))
        return;
    const std::string choice = output.required_text("rank_by");
    const std::optional<RankBy> by = rank_by(choice);
    if (!by)
        throw output.wrong("rank_by", fmt::format("'{}' is neither choice", choice),
                           "write \"exposure\" or \"exposure_x_susceptibility\"");
    if (*by == RankBy::exposure_x_susceptibility && config.attributes.empty())
        throw output.wrong("rank_by", "nothing says how susceptible structures are",
                           "name columns and tables in [[inputs.structures.attributes]]");
    config.rank_by = *by;
}

void read_output(const ConfigTable& root, Config& config)
{
    const ConfigTable output = root.required_table("output");
    config.out_dir = output.required_path("dir");
    if (is_connection_string(config.out_dir.string()))
        throw output.wrong("dir", "outputs are local", "name a folder");
    if (!config.out_dir.has_filename())
        config.out_dir = config.out_dir.parent_path(); // "out/" is "out"
    config.csv_bom = output.flag("csv_bom", true);
    config.ring_outlines = output.flag("ring_outlines", false);
    config.history_runs =
        static_cast<int>(output.whole("history_runs", 1, most_history_runs).value_or(60));
    read_rank_by(output, config);
    require_apart(output, config);
}

/// Every table is tried; those that speak of inputs only where these are right.
void read_tables(const ConfigTable& root, Config& config)
{
    FaultList faults;
    faults.attempt(
        [&] { config.community_name = root.required_table("community").required_text("name"); });
    const bool inputs_read = faults.attempt([&] { read_inputs_table(root, config); });
    for (const ReadTable read :
         {ReadTable{read_rings}, ReadTable{read_uncertainty}, ReadTable{read_run}})
        faults.attempt([&] { read(root, config); });
    if (inputs_read)
        for (const ReadTable read : {ReadTable{read_terrain}, ReadTable{read_output}})
            faults.attempt([&] { read(root, config); });
    faults.attempt([&] { config.gate = read_gate(root); });
    faults.attempt([&] { config.treatment = read_treatment(root); });
    faults.raise();
}

} // namespace

Config load_config(const std::filesystem::path& file)
{
    Config config;
    config.file = file;
    config.text = read_text(file);
    const toml::table parsed = parse_toml(config.text, file);
    const ConfigTable root{parsed, "", file, config_keys_in};
    read_tables(root, config);
    admit_remote(config);
    if (config.parcels)
        config.parcels->widest_ring_m = config.furthest_m();
    config.text_of_map = text_of_map(parsed);
    return config;
}

} // namespace fuelring
