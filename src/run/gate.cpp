// SPDX-License-Identifier: Apache-2.0

// The gate's rules are in gate_rules.cpp; here is where its figures come from. Of the last run it
// reads run.json, which says what that run saw (`gate.seen`), and a sample of the structures in
// fuelring.gpkg. A run of an earlier version said less: its grid is that of fuel_used.tif, and what
// nobody knows is not compared, and said.
#include "run/gate.hpp"

#include "io/fuel_used_in.hpp"
#include "io/structures_sample_in.hpp"
#include "run/publish_set.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

namespace fuelring {

using nlohmann::json;

namespace {

constexpr std::int64_t sampled_structures = 1000;

json grid_json(const SeenGrid& grid)
{
    return {{"crs", grid.crs.wkt()},
            {"geotransform", grid.geotransform},
            {"cols", grid.cols},
            {"rows", grid.rows}};
}

SeenGrid grid_from(const json& grid)
{
    return {Crs::from_wkt(grid.at("crs")), grid.at("geotransform").get<std::array<double, 6>>(),
            grid.at("cols"), grid.at("rows")};
}

/// Of a run that did not say where its raster lay. A warped grid is none of the raster's.
std::optional<SeenGrid> grid_of_outputs(const json& manifest, const std::filesystem::path& out)
{
    if (manifest.at("crs").at("rule") == name_of(GroundRule::warped))
        return std::nullopt;
    const FuelUsed fuel{(out / "fuel_used.tif").string()};
    return SeenGrid{fuel.crs(), fuel.grid().geotransform(), fuel.grid().cols(), fuel.grid().rows()};
}

json ground_json(const std::vector<SeenGround>& ground)
{
    json rows = json::array();
    for (const SeenGround& g : ground)
        rows.push_back({{"within_m", g.within_m},
                        {"ground_m2", g.ground_m2},
                        {"mapped_m2", g.mapped_m2},
                        {"conifer_m2", g.conifer_m2}});
    return rows;
}

std::vector<SeenGround> ground_from(const json& rows)
{
    std::vector<SeenGround> ground;
    for (const json& row : rows)
        ground.push_back(
            {row.at("within_m"), row.at("ground_m2"), row.at("mapped_m2"), row.at("conifer_m2")});
    return ground;
}

LastRun last_run_from(const json& manifest, const std::filesystem::path& out)
{
    LastRun last{manifest.at("generation"), manifest.at("run_id"),
                 manifest.at("timings").at("finished")};
    last.structures = manifest.at("counts").at("structures");
    for (const json& row : manifest.at("fuel_classes"))
        if (!row.at("code").is_null())
            last.codes.push_back(row.at("code"));
    const json seen = manifest.value("gate", json::object()).value("seen", json::object());
    last.grid = seen.contains("fuel_grid") ? grid_from(seen.at("fuel_grid"))
                                           : grid_of_outputs(manifest, out);
    if (seen.contains("ground"))
        last.ground = ground_from(seen.at("ground"));
    if (!last.grid)
        last.unknown.emplace_back("the grid of its raster");
    if (last.ground.empty())
        last.unknown.emplace_back("shares of the ground around its structures");
    return last;
}

/// The places of the sample now; the community's structures stand in the order of their ids.
std::vector<SeenStructure> seen_now(const std::vector<SampledStructure>& sample,
                                    const std::vector<Structure>& structures)
{
    std::vector<SeenStructure> seen;
    for (const SampledStructure& s : sample) {
        seen.push_back({s.id, s.lon_deg, s.lat_deg});
        const auto at = std::lower_bound(
            structures.begin(), structures.end(), s.id,
            [](const Structure& structure, const std::string& id) { return structure.id < id; });
        if (at != structures.end() && at->id == s.id)
            seen.back().now = SeenStructure::Place{at->lon_deg, at->lat_deg};
    }
    return seen;
}

std::string texts_of(const GateReasons& reasons)
{
    std::vector<std::string> texts;
    for (const GateReason& reason : reasons)
        texts.push_back(reason.text);
    return fmt::format("{}", fmt::join(texts, "; "));
}

json reasons_json(const GateReasons& reasons)
{
    json rows = json::array();
    for (const GateReason& reason : reasons)
        rows.push_back({{"reason", reason.key}, {"text", reason.text}});
    return rows;
}

void add(GateReasons& reasons, const GateReasons& more)
{
    reasons.insert(reasons.end(), more.begin(), more.end());
}

} // namespace

const SeenGround* LastRun::within(double distance_m) const
{
    const auto at = std::find_if(ground.begin(), ground.end(), [distance_m](const SeenGround& g) {
        return g.within_m == distance_m;
    });
    return at == ground.end() ? nullptr : &*at;
}

LastRun read_last_run(const std::filesystem::path& out)
{
    const PublishedSet set = read_set(out);
    if (set.state == PublishedSet::State::none)
        return {};
    try {
        return last_run_from(read_manifest(out), out);
    } catch (const Error& e) {
        return {.unknown = {fmt::format("anything: {}", e.message())}};
    } catch (const std::exception& e) {
        return {.unknown = {fmt::format("anything: its run.json does not serve ({})", e.what())}};
    }
}

InputGate::InputGate(const std::filesystem::path& out, const Config& config, On on, Log& log)
    : out_(out), config_(config), on_(on), log_(log)
{
    last_ = read_last_run(out);
    for (const std::string& what : last_.unknown)
        not_compared("the last run does not say " + what);
}

void InputGate::not_compared(const std::string& what)
{
    not_compared_.push_back(what);
    log_.info("the input gate does not compare everything: " + what);
}

void InputGate::judge(const GateReasons& reasons)
{
    if (reasons.empty() || !config_.gate.on)
        return;
    const GateReason::Input about = reasons.front().input;
    const std::string& input =
        about == GateReason::Input::structures ? config_.structures.path : config_.fuel.path;
    const std::string stays =
        last_.exists() ? fmt::format("generation {} stays in {}", last_.generation, out_.string())
                       : std::string{"nothing was written"};
    if (on_ == On::hold) {
        const std::string visits = about == GateReason::Input::ground && config_.corrections
                                       ? " and at the visits in " + config_.corrections->path
                                       : std::string{};
        throw Error{
            Failure::gate, "held by the input gate: " + texts_of(reasons), input,
            fmt::format("look at that file{}, and if all is right run once with --accept; {}",
                        visits, stays)};
    }
    for (const GateReason& reason : reasons)
        log_.warn(fmt::format("{}: {}",
                              on_ == On::accept ? "accepted, though the input gate would hold it"
                                                : "the input gate would hold map (exit code 6)",
                              reason.text));
    add(reasons_, reasons);
}

void InputGate::compare_sample(const Inputs& inputs)
{
    const auto now = static_cast<std::int64_t>(inputs.community.structures.size());
    StructuresMove move;
    try {
        move = move_of(
            seen_now(sample_structures((out_ / "fuelring.gpkg").string(), sampled_structures),
                     inputs.community.structures));
    } catch (const Error& e) {
        not_compared("the structures of the last run: " + e.message());
    }
    moved_["structures"] = {{"before", *last_.structures},
                            {"now", now},
                            {"ids_vanished_percent", move.vanished_percent},
                            {"east_m", move.east_m},
                            {"north_m", move.north_m}};
    words_.push_back(fmt::format("{} structures, then {}", now, *last_.structures));
    judge(compare_structures(*last_.structures, now, move, config_.gate));
}

void InputGate::look_at(const Inputs& inputs)
{
    const SourceGrid& source = inputs.raster->plan().source;
    const SeenGrid grid{source.crs, source.geotransform, source.cols, source.rows};
    seen_["fuel_grid"] = grid_json(grid);
    if (last_.grid)
        judge(compare_grids(*last_.grid, grid));
    if (last_.structures)
        compare_sample(inputs);
}

void InputGate::note_ground(const SeenGround& before, const SeenGround& now)
{
    moved_["ground"].push_back({{"within_m", now.within_m},
                                {"conifer_percent_before", before.conifer_percent()},
                                {"conifer_percent", now.conifer_percent()},
                                {"mapped_percent_before", before.mapped_percent()},
                                {"mapped_percent", now.mapped_percent()}});
    words_.push_back(fmt::format("conifers on {:.2f} % of the ground within {:g} m, then {:.2f} %",
                                 now.conifer_percent(), now.within_m, before.conifer_percent()));
}

GateReasons InputGate::compare_distance(const SeenGround& now, bool is_widest)
{
    const SeenGround* before = last_.within(now.within_m);
    if (!before) {
        if (!last_.ground.empty())
            not_compared(fmt::format("the last run had no distance of {:g} m", now.within_m));
        return is_widest ? require_mapped(now) : GateReasons{};
    }
    note_ground(*before, now);
    if (is_widest && before->mapped_m2 > 0 && now.mapped_m2 <= 0)
        return require_mapped(now);
    GateReasons reasons = compare_ground(*before, now, config_.gate);
    if (reasons.empty() && is_widest)
        reasons = require_conifers(*before, now);
    return reasons;
}

void InputGate::look_at(const std::vector<StructureMeasure>& measures)
{
    const std::vector<SeenGround> ground = ground_of(measures, config_.rings);
    seen_["ground"] = ground_json(ground);
    const std::size_t near = config_.near_ring;
    GateReasons reasons;
    if (near + 1 < ground.size() && ground.back().mapped_m2 > 0)
        reasons = compare_distance(ground[near], false);
    add(reasons, compare_distance(ground.back(), true));
    judge(reasons);
}

void InputGate::look_at(const SurfaceTotals& surface, const Inputs& inputs)
{
    if (!last_.exists())
        return;
    if (last_.widest_m() != config_.rings.widest_m()) {
        if (!last_.ground.empty())
            not_compared("codes, since the widest ring is another one");
        return;
    }
    std::vector<SeenCode> codes;
    const auto& classes = inputs.classes.rows();
    for (std::size_t i = 0; i < classes.size(); ++i)
        if (i != no_data_class)
            codes.push_back({classes[i].code, classes[i].label, surface.cells_of_class[i]});
    moved_["new_codes_percent"] = new_codes_percent(last_.codes, codes, surface.cells);
    judge(compare_codes(last_.codes, codes, surface.cells, config_.gate));
}

void InputGate::look_at(const CodeCensus& census, const Inputs& inputs)
{
    std::int64_t cells = census.nodata_cells;
    SeenGround mapped{config_.rings.widest_m()}; // in cells
    std::vector<SeenCode> codes;
    for (const auto& [code, count] : census.cells_of_code) {
        cells += count;
        const auto index = inputs.classes.find(code);
        if (!index)
            continue;
        const FuelClass& fuel = inputs.classes[*index];
        codes.push_back({code, fuel.label, count});
        if (fuel.group != FuelGroup::unmapped)
            mapped.mapped_m2 += static_cast<double>(count);
    }
    judge(require_mapped(mapped));
    if (last_.exists() && last_.widest_m() == config_.rings.widest_m())
        judge(compare_codes(last_.codes, codes, cells, config_.gate));
}

json InputGate::json() const
{
    const GateSettings& settings = config_.gate;
    nlohmann::json object = {{"on", settings.on},
                             {"max_change", settings.max_change},
                             {"max_structures_change", settings.max_structures_change},
                             {"compared_with", nullptr},
                             {"not_compared", not_compared_},
                             {"moved", moved_},
                             {on_ == On::tell ? "would_hold" : "accepted", reasons_json(reasons_)},
                             {"seen", seen_}};
    if (last_.exists())
        object["compared_with"] = {{"generation", last_.generation},
                                   {"run_id", last_.run_id},
                                   {"finished", last_.finished}};
    return object;
}

void InputGate::say(Log& log) const
{
    if (last_.exists())
        log.info(fmt::format("the input gate: compared with generation {}: {}", last_.generation,
                             fmt::join(words_, "; ")));
}

} // namespace fuelring
