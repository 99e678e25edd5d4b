// SPDX-License-Identifier: Apache-2.0

// Reading a configuration: text, then TOML, then table by table into settings. Every table is tried
// before anything is refused, so that one run names all faults. What no file of `map` depends on is
// left out of `text_of_map`: to change a budget must not make a measurement out of date.
#include "run/config/config.hpp"

#include "base/faults.hpp"
#include "base/small_file.hpp"
#include "io/gdal/setup.hpp"
#include "run/config/config_keys.hpp"
#include "run/config/config_parts.hpp"
#include "run/config/toml_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <sstream>
#include <stdexcept>

namespace fuelring {

namespace {

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
    table.erase("appraise");
    if (toml::table* run = table["run"].as_table()) {
        run->erase("also");
        run->erase("minutes");
        run->erase("classify");
        if (run->empty())
            table.erase("run");
    }
    table.erase("gate");
    table.erase("imagery");
    std::ostringstream text;
    text << table;
    return text.str();
}

void keep_only(toml::table& table, std::initializer_list<std::string_view> keys)
{
    std::vector<std::string> others;
    for (const auto& [key, value] : table)
        if (std::ranges::find(keys, key.str()) == keys.end())
            others.emplace_back(key.str());
    for (const std::string& key : others)
        table.erase(key);
}

std::string text_of_classify(toml::table table)
{
    keep_only(table, {"community", "imagery", "inputs", "rings"});
    if (toml::table* inputs = table["inputs"].as_table())
        keep_only(*inputs, {"corrections", "structures"});
    std::ostringstream text;
    text << table;
    return text.str();
}

/// `can_treat`: there is a table [treat].
RunAlso read_also(const ConfigTable& run, bool can_treat)
{
    RunAlso also;
    if (run.is_empty_list("also"))
        return also;
    for (const std::string& command : run.texts("also").value_or(std::vector<std::string>{}))
        if (command == "treat")
            also.treat = true;
        else if (command == "report")
            also.report = true;
        else
            throw run.wrong("also", fmt::format("'{}' is neither choice", command),
                            "write \"treat\", \"report\" or both");
    if (also.treat && !can_treat)
        throw run.wrong("also", "there is no table [treat] to plan by",
                        "add it with budget = { money = 50000 } or { hectares = 3 }");
    return also;
}

void read_run(const ConfigTable& root, RunSettings& into)
{
    const auto run = root.table("run");
    if (!run)
        return;
    into.jobs = run->whole("jobs", 0, most_jobs, into.jobs);
    into.tile_cells = run->whole("tile_cells", least_tile_cells, most_tile_cells, into.tile_cells);
    if (run->has("memory_mb"))
        into.memory_mb = run->whole("memory_mb", least_memory_mb, most_memory_mb, 0);
    into.minutes = run->number("minutes");
    if (into.minutes && !(*into.minutes > 0 && *into.minutes <= most_minutes))
        throw run->wrong("minutes",
                         fmt::format("{} where a number of minutes is expected", *into.minutes),
                         fmt::format("minutes are above 0 and at most {}", most_minutes));
    into.also = read_also(*run, root.has("treat"));
    into.classify = run->flag("classify", false);
    into.remote_inputs = run->flag("remote_inputs", false);
}

/// Calls visit(source, key) for the layers that are configured.
template <typename Inputs, typename Visit>
void for_each_layer(Inputs& inputs, Visit&& visit)
{
    visit(inputs.structures, "inputs.structures.path");
    visit(inputs.fuel, "inputs.fuel.path");
    const auto visit_optional = [&](auto& source, const char* key) {
        if (source)
            visit(*source, key);
    };
    visit_optional(inputs.addresses, "inputs.addresses.path");
    visit_optional(inputs.neighbourhoods, "inputs.neighbourhoods.path");
    visit_optional(inputs.elevation, "inputs.elevation.path");
    visit_optional(inputs.parcels, "inputs.parcels.path");
    visit_optional(inputs.roads, "inputs.roads.path");
    visit_optional(inputs.corrections, "inputs.corrections.path");
    visit_optional(inputs.structures.area, "community.area.path");
}

/// A run replaces the output folder as a whole: nothing it reads may lie inside.
void require_apart(const ConfigTable& output, const Config& config)
{
    const auto refuse_inside = [&](const std::filesystem::path& path, std::string_view what) {
        const std::filesystem::path relative = path.lexically_relative(config.output.dir);
        if (!relative.empty() && *relative.begin() != "..")
            throw output.wrong(
                "dir", fmt::format("{} lies inside the output folder", what),
                "a run replaces the whole folder: choose one with nothing else in it");
    };
    refuse_inside(std::filesystem::absolute(config.file).lexically_normal(), "this file");
    for_each_layer(config.inputs, [&](const auto& source, const char* key) {
        if (!source.path.empty()) // a box has none
            refuse_inside(source.path, key);
        if constexpr (requires { source.tiles; })
            for (const std::string& tile : source.tiles)
                refuse_inside(tile, key);
        if constexpr (requires { source.classes; }) { // with the fuel, both kinds of tables
            if (!source.holds_shares())
                refuse_inside(source.classes, "inputs.fuel.classes");
            for (const AttributeSource& a : config.inputs.attributes)
                refuse_inside(a.multipliers, "inputs.structures.attributes.multipliers");
        }
    });
}

/// 2026-07-15: what is about the day of the images can use it.
bool is_calendar_day(const std::string& text)
{
    constexpr std::string_view shape{"dddd-dd-dd"};
    const bool shaped = text.size() == shape.size() &&
                        std::equal(text.begin(), text.end(), shape.begin(), [](char c, char form) {
                            return form == 'd' ? c >= '0' && c <= '9' : c == form;
                        });
    return shaped && text.substr(5, 2) >= "01" && text.substr(5, 2) <= "12" &&
           text.substr(8, 2) >= "01" && text.substr(8, 2) <= "31";
}

std::vector<std::string> read_copies(const ConfigTable& output)
{
    if (output.is_empty_list("copies"))
        return {};
    const auto formats = output.texts("copies").value_or(std::vector<std::string>{});
    for (const std::string& format : formats)
        if (format != "flatgeobuf" && format != "geoparquet")
            throw output.wrong("copies", fmt::format("'{}' is neither choice", format),
                               "write \"flatgeobuf\", \"geoparquet\" or both");
    return formats;
}

void read_output(const ConfigTable& root, Config& config)
{
    const ConfigTable output = root.required_table("output");
    OutputSettings& into = config.output;
    into.dir = output.required_path("dir");
    if (is_connection_string(into.dir.string()))
        throw output.wrong("dir", "outputs are local", "name a folder");
    if (!into.dir.has_filename())
        into.dir = into.dir.parent_path(); // "out/" is "out"
    into.csv_bom = output.flag("csv_bom", into.csv_bom);
    into.ring_outlines = output.flag("ring_outlines", into.ring_outlines);
    into.copies = read_copies(output);
    into.stac_item = output.flag("stac_item", into.stac_item);
    if (into.stac_item && !is_calendar_day(config.inputs.fuel.date))
        throw output.wrong("stac_item", "a STAC item needs the day of the imagery",
                           "set inputs.fuel.date to a day such as 2026-07-15");
    into.history_runs = output.whole("history_runs", 1, most_history_runs, into.history_runs);
    into.rank_by =
        rank_by(output.choice("rank_by", {"exposure", "exposure_x_susceptibility"})).value();
    if (into.rank_by == RankBy::exposure_x_susceptibility && config.inputs.attributes.empty())
        throw output.wrong("rank_by", "nothing says how susceptible structures are",
                           "name columns and tables in [[inputs.structures.attributes]]");
    require_apart(output, config);
}

/// run.classify makes what the run then reads.
void require_classified(const ConfigTable& root, const Config& config)
{
    if (!config.run.classify)
        return;
    const ConfigTable run = root.required_table("run");
    if (!config.imagery || config.imagery->out.empty())
        throw run.wrong("classify", "nothing says what to classify, and into which folder",
                        "add a table [imagery] with images, and [imagery.output] with dir");
    const std::filesystem::path fuel = config.inputs.fuel.path;
    if (fuel.parent_path() != config.imagery->out ||
        (fuel.filename() != "conifer_share.tif" && fuel.filename() != "fuel.tif"))
        throw run.wrong("classify", "inputs.fuel.path is not a raster that classify makes",
                        fmt::format("write path = \"{}\" and values = \"fraction\" under "
                                    "[inputs.fuel]",
                                    (config.imagery->out / "conifer_share.tif").string()));
}

/// Every table is tried; those that speak of inputs only where these are right.
void read_tables(const ConfigTable& root, Config& config)
{
    FaultList faults;
    faults.attempt(
        [&] { config.community_name = root.required_table("community").required_text("name"); });
    const bool inputs_read = faults.attempt([&] { read_inputs_table(root, config.inputs); });
    faults.attempt([&] { config.inputs.structures.area = read_area(root); });
    faults.attempt([&] { read_rings(root, config.rings, config.near); });
    faults.attempt([&] { config.uncertainty = read_uncertainty(root); });
    faults.attempt([&] { config.sensitivity = read_sensitivity(root, config.rings); });
    faults.attempt([&] { read_run(root, config.run); });
    if (inputs_read) {
        faults.attempt(
            [&] { read_terrain(root, config.inputs.elevation.has_value(), config.stretch); });
        faults.attempt([&] { read_output(root, config); });
    }
    faults.attempt([&] { config.gate = read_gate(root); });
    faults.attempt([&] {
        if (const auto imagery = root.table("imagery"))
            config.imagery = read_imagery(*imagery);
        if (inputs_read)
            require_classified(root, config);
    });
    faults.attempt([&] { config.treatment = read_treatment(root); });
    faults.attempt([&] { read_report(root, config.report); });
    faults.attempt([&] { read_appraise(root, config.appraise); });
    faults.raise();
}

void allow_remote_imagery(ImagerySettings& imagery, bool allowed)
{
    for (ImageSource& image : imagery.images)
        image.files.remote_allowed = allowed;
    if (imagery.training)
        imagery.training->remote_allowed = allowed;
}

/// What sources have to know of other tables.
void complete_sources(Config& config)
{
    const auto allow = [&](auto& source, auto...) {
        source.remote_allowed = config.run.remote_inputs;
    };
    for_each_layer(config.inputs, allow);
    if (config.imagery)
        allow_remote_imagery(*config.imagery, config.run.remote_inputs);
    if (config.treatment)
        TreatmentSettings::for_each_layer(*config.treatment, [&](const char*, auto& layer) {
            if (layer)
                allow(*layer);
        });
    if (config.inputs.parcels)
        config.inputs.parcels->widest_ring_m = config.furthest_m();
}

/// What `classify` needs of the file: images, and the structures that it looks around.
void read_for_classify(const ConfigTable& root, Config& config)
{
    FaultList faults;
    faults.attempt([&] {
        if (const auto community = root.table("community"))
            config.community_name = community->text("name");
    });
    faults.attempt([&] { config.imagery = read_imagery(root.required_table("imagery")); });
    faults.attempt([&] { read_inputs_of_classify(root, config.inputs); });
    faults.attempt([&] { config.inputs.structures.area = read_area(root); });
    faults.attempt([&] { read_rings(root, config.rings, config.near); });
    faults.attempt([&] { read_run(root, config.run); });
    faults.raise();
    allow_remote_imagery(*config.imagery, config.run.remote_inputs);
    config.inputs.structures.remote_allowed = config.run.remote_inputs;
    if (auto& area = config.inputs.structures.area)
        area->remote_allowed = config.run.remote_inputs;
    if (auto& visits = config.inputs.corrections)
        visits->remote_allowed = config.run.remote_inputs;
}

/// What `read(root, config)` makes of the tables of a file.
Config load_by(const std::filesystem::path& file, void (*read)(const ConfigTable&, Config&))
{
    Config config;
    config.file = file;
    config.text = read_text(file);
    const toml::table parsed = parse_toml(config.text, file);
    read(ConfigTable{parsed, "", file, config_keys_in}, config);
    config.text_of_classify = text_of_classify(parsed);
    return config;
}

} // namespace

Config load_imagery_config(const std::filesystem::path& file)
{
    return load_by(file, read_for_classify);
}

Config load_config(const std::filesystem::path& file)
{
    Config config = load_by(file, read_tables);
    complete_sources(config);
    config.text_of_map = text_of_map(parse_toml(config.text, file));
    return config;
}

} // namespace fuelring
