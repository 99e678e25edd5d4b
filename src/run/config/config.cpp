// SPDX-License-Identifier: Apache-2.0
#include "run/config/config.hpp"

#include "base/faults.hpp"
#include "base/small_file.hpp"
#include "io/gdal/setup.hpp"
#include "run/config/config_gate.hpp"
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

using namespace std::string_literals;

namespace {

constexpr double widest_ring_m = 10'000;    ///< beyond it a distance is no longer a metre figure
constexpr std::size_t most_rings = 50;      ///< each has columns of its own in every table
constexpr std::size_t most_attributes = 10; ///< products of multipliers stay finite
/// Weights that sum to less are as good as none, and lose digits.
constexpr double least_sum_of_weights = 1e-6;
constexpr double most_minutes = 100'000;
constexpr std::int64_t most_jobs = 1024;
constexpr std::int64_t most_tile_cells = 8192;
constexpr std::int64_t least_memory_mb = 64;
constexpr std::int64_t most_memory_mb = 1 << 24;
constexpr std::int64_t most_history_runs = 10'000;

using ReadTable = void (*)(const ConfigTable& holder, Config& config);

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

void read_structures(const ConfigTable& inputs, Config& config)
{
    const ConfigTable t = inputs.required_table("structures");
    config.structures = {.path = t.required_path("path"),
                         .layer = t.text("layer"),
                         .id = t.text("id"),
                         .where = t.text("where"),
                         .min_area_m2 = t.number_from_0("min_area_m2", 0),
                         .crs = t.text("crs"),
                         .encoding = t.text("encoding")};
    const auto attributes = t.tables("attributes");
    if (attributes && attributes->size() > most_attributes)
        throw t.wrong(
            "attributes",
            fmt::format("{} attributes; {} is the most", attributes->size(), most_attributes),
            "leave some out: their multipliers are multiplied");
    for (const ConfigTable& a : attributes.value_or(std::vector<ConfigTable>{})) {
        config.attributes.push_back(
            {a.required_text("column"), a.required_path("multipliers"), a.number("unknown")});
        if (const auto& unknown = config.attributes.back().unknown;
            unknown && !is_multiplier(*unknown))
            throw a.wrong("unknown", fmt::format("a multiplier of {} is out of range", *unknown),
                          "multipliers are above 0 and at most 100");
        config.structures.attributes.push_back(config.attributes.back().column);
    }
}

bool unknown_codes_are_unmapped(const ConfigTable& fuel)
{
    const std::string choice =
        fuel.has("unknown_codes") ? fuel.required_text("unknown_codes") : "error";
    if (choice != "error" && choice != "unmapped")
        throw fuel.wrong("unknown_codes", fmt::format("'{}' is neither choice", choice),
                         "write \"error\" or \"unmapped\"");
    return choice == "unmapped";
}

void read_fuel(const ConfigTable& inputs, Config& config)
{
    const ConfigTable t = inputs.required_table("fuel");
    config.fuel = {.path = t.required_path("path"),
                   .band = static_cast<int>(t.whole("band", 1, 1000).value_or(1)),
                   .classes = t.required_path("classes"),
                   .date = t.date("date").value_or(""),
                   .crs = t.text("crs"),
                   .unknown_codes_are_unmapped = unknown_codes_are_unmapped(t)};
}

void read_addresses(const ConfigTable& inputs, Config& config)
{
    if (const auto t = inputs.table("addresses"))
        config.addresses =
            AddressSource{.path = t->required_path("path"),
                          .layer = t->text("layer"),
                          .text = t->required_text("text"),
                          .join_within_m = t->number_from_0("join_within_m", default_join_within_m),
                          .crs = t->text("crs"),
                          .encoding = t->text("encoding")};
}

void read_neighbourhoods(const ConfigTable& inputs, Config& config)
{
    if (const auto t = inputs.table("neighbourhoods"))
        config.neighbourhoods = NeighbourhoodSource{.path = t->required_path("path"),
                                                    .layer = t->text("layer"),
                                                    .name = t->required_text("name"),
                                                    .crs = t->text("crs"),
                                                    .encoding = t->text("encoding")};
}

void read_parcels(const ConfigTable& inputs, Config& config)
{
    if (const auto t = inputs.table("parcels"))
        config.parcels =
            ParcelSource{.path = t->required_path("path"),
                         .layer = t->text("layer"),
                         .owner = t->required_text("owner"),
                         .where = t->text("where"),
                         .private_owners = t->texts("private").value_or(std::vector{"private"s}),
                         .crs = t->text("crs"),
                         .encoding = t->text("encoding")};
}

void read_corrections(const ConfigTable& inputs, Config& config)
{
    const auto t = inputs.table("corrections");
    if (!t)
        return;
    CorrectionSource& source = config.corrections.emplace();
    source.path = t->required_path("path");
    source.layer = t->text("layer");
    source.crs = t->text("crs");
    source.encoding = t->text("encoding");
    for (const auto& [key, column] :
         {std::pair{"kind", &source.kind}, std::pair{"structure_id", &source.structure_id},
          std::pair{"group", &source.group}, std::pair{"date", &source.date},
          std::pair{"initials", &source.initials}, std::pair{"wkt", &source.wkt}})
        if (t->has(key))
            *column = t->required_text(key);
}

void read_inputs(const ConfigTable& root, Config& config)
{
    const ConfigTable inputs = root.required_table("inputs");
    config.reprojected_within_m =
        inputs.number_from_0("reprojected_within_m", default_reprojected_within_m);
    FaultList faults;
    for (const ReadTable read :
         {ReadTable{read_structures}, ReadTable{read_fuel}, ReadTable{read_addresses},
          ReadTable{read_neighbourhoods}, ReadTable{read_parcels}, ReadTable{read_elevation},
          ReadTable{read_corrections}})
        faults.attempt([&] { read(inputs, config); });
    faults.raise();
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
    config.structures.remote_allowed = config.remote_inputs;
    config.fuel.remote_allowed = config.remote_inputs;
    if (config.addresses)
        config.addresses->remote_allowed = config.remote_inputs;
    if (config.neighbourhoods)
        config.neighbourhoods->remote_allowed = config.remote_inputs;
    if (config.elevation)
        config.elevation->remote_allowed = config.remote_inputs;
    if (config.parcels)
        config.parcels->remote_allowed = config.remote_inputs;
    if (config.corrections)
        config.corrections->remote_allowed = config.remote_inputs;
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
    const bool inputs_read = faults.attempt([&] { read_inputs(root, config); });
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
    if (config.parcels)
        config.parcels->widest_ring_m = config.furthest_m();
    config.text_of_map = text_of_map(parsed);
    return config;
}

} // namespace fuelring
