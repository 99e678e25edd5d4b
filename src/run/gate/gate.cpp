// SPDX-License-Identifier: Apache-2.0

// The gate's rules are in gate_table.cpp and gate_rules.cpp; here is when they are asked. Of the
// last run it reads run.json and a sample of the tables in fuelring.gpkg.
#include "run/gate/gate.hpp"

#include "run/gate/gate_table.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

namespace fuelring {

using nlohmann::json;

namespace {

constexpr std::int64_t sampled_rows = 1000;
/// Addresses or structures fewer than these, of the smallest community, are no share.
constexpr double few_counted = 2.5;

/// The places of the sample now.
std::vector<SeenStructure> seen_now(const std::vector<SampledStructure>& sample,
                                    const Community& community)
{
    std::vector<SeenStructure> seen;
    for (const SampledStructure& s : sample) {
        seen.push_back({s.id, s.lon_deg, s.lat_deg});
        if (const auto at = index_of_structure(community, s.id))
            seen.back().now = SeenStructure::Place{community.structures[*at].lon_deg,
                                                   community.structures[*at].lat_deg};
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

/// "--accept addresses --accept parcels".
std::string options_of(const GateReasons& reasons)
{
    std::vector<std::string> options;
    for (const GateReason& reason : reasons) {
        std::string option = fmt::format("--accept {}", name_of(reason.kind));
        if (std::find(options.begin(), options.end(), option) == options.end())
            options.push_back(std::move(option));
    }
    return fmt::format("{}", fmt::join(options, " "));
}

json reasons_json(const GateReasons& reasons)
{
    json rows = json::array();
    for (const GateReason& reason : reasons)
        rows.push_back(
            {{"kind", name_of(reason.kind)}, {"reason", reason.key}, {"text", reason.text}});
    return rows;
}

/// Findings that say the structures are not those of the last run: then nothing can be compared
/// structure by structure.
bool are_strangers(const GateReasons& reasons)
{
    return std::any_of(reasons.begin(), reasons.end(), [](const GateReason& r) {
        return r.holds && r.kind == GateKind::structures && r.key != "structures";
    });
}

/// Kinds whose rules compare one of the figures.
std::set<GateKind> kinds_of(const SeenFigures& figures)
{
    std::set<GateKind> kinds;
    for (const GateRule& rule : gate_rules())
        if (figures.count(std::string{rule.figure}) > 0)
            kinds.insert(rule.kind);
    return kinds;
}

GateReasons judge_all(const MovedFigures& moved, const GateSettings& settings)
{
    GateReasons reasons;
    for (const GateRule& rule : gate_rules()) {
        const auto at = moved.find(std::string{rule.figure});
        if (at == moved.end())
            continue;
        const auto& [before, now, of] = at->second;
        if (of > 0 && moved_by(rule, before, now) * static_cast<double>(of) / 100 < few_counted)
            continue;
        const std::string words =
            rule.key == "height_order"
                ? fmt::format("heights at the structures agree with those of the last run by a "
                              "correlation of {:.2f} only",
                              1 - now)
                : std::string{};
        add(reasons, judge(rule, before, now, settings, words));
    }
    return reasons;
}

} // namespace

InputGate::InputGate(const PublishedFolder& out, const Config& config, Mode mode, Log& log)
    : out_(out.path), config_(config), mode_(std::move(mode)), log_(log)
{
    last_ = last_run_in(out);
    for (const std::string& what : last_.unknown)
        not_compared("the last run does not say " + what);
}

void InputGate::not_compared(const std::string& what)
{
    not_compared_.push_back(what);
    log_.info("the input check does not compare everything: " + what);
}

std::string InputGate::input_of(GateKind kind) const
{
    const InputSettings& sources = config_.inputs;
    switch (kind) {
    case GateKind::raster:
    case GateKind::ground:
    case GateKind::codes:
        return sources.fuel.path;
    case GateKind::structures:
        return sources.structures.path;
    case GateKind::addresses:
        return sources.addresses.value().path;
    case GateKind::neighbourhoods:
        return sources.neighbourhoods.value().path;
    case GateKind::parcels:
        return sources.parcels.value().path;
    case GateKind::corrections:
        return sources.corrections.value().path;
    case GateKind::heights:
        return sources.elevation.value().path;
    }
    return {};
}

void InputGate::hold(const GateReasons& reasons) const
{
    const GateKind about = reasons.front().kind;
    const std::string stays =
        last_.exists() ? fmt::format("generation {} stays in {}", last_.generation, out_.string())
                       : std::string{"nothing was written"};
    std::vector<std::string> files;
    const auto look_at_too = [&](const std::string& file) {
        if (file != input_of(about) && std::find(files.begin(), files.end(), file) == files.end())
            files.push_back(file);
    };
    for (const GateReason& reason : reasons) {
        look_at_too(input_of(reason.kind));
        if (reason.kind == GateKind::ground && config_.inputs.corrections)
            look_at_too(config_.inputs.corrections->path);
    }
    throw Error{Failure::gate, "the input check stopped this run: " + texts_of(reasons),
                input_of(about),
                fmt::format("look at that file{}{}, and if all is right run once with {}; {}",
                            files.empty() ? "" : " and at ", fmt::join(files, ", "),
                            options_of(reasons), stays)};
}

void InputGate::judge(const GateReasons& reasons)
{
    if (!config_.gate.on)
        return;
    GateReasons held;
    for (const GateReason& reason : reasons)
        if (reason.holds && !mode_.tell && mode_.accepted.count(reason.kind) == 0)
            held.push_back(reason);
    if (!held.empty())
        hold(held);
    for (const GateReason& reason : reasons) {
        log_.warn(fmt::format("{}: {}",
                              !reason.holds ? "more than half of what the input check lets pass"
                              : mode_.tell  ? "the input check would stop map (exit code 6)"
                                            : "accepted, although the input check would stop it",
                              reason.text));
        (reason.holds ? reasons_ : near_).push_back(reason);
    }
}

GateReasons InputGate::compare_places(const EarlierSample& sample, const Inputs& inputs)
{
    const auto now = static_cast<std::int64_t>(inputs.community.structures.size());
    const StructuresMove move = move_of(seen_now(sample.structures, inputs.community));
    moved_["structures"] = {{"before", *last_.structures},
                            {"now", now},
                            {"ids_vanished_percent", move.vanished_percent},
                            {"east_m", move.east_m},
                            {"north_m", move.north_m}};
    words_.push_back(fmt::format("{} structures in the last run, {} now", *last_.structures, now));
    return compare_structures(*last_.structures, now, move, config_.gate);
}

GateReasons InputGate::compare_figures(const Inputs& inputs)
{
    const SeenFigures figures = figures_of(inputs, config_.inputs);
    seen_["figures"] = figures;
    seen_["heights"] = heights_of(inputs.community);
    if (!last_.exists() || !last_.structures)
        return {};
    EarlierSample sample;
    try {
        const std::string tables = (out_ / tables_file).string();
        sample.structures = sample_structures(tables, sampled_rows);
        sample.addresses = sample_addresses(tables, sampled_rows);
    } catch (const Error& e) {
        not_compared("the structures of the last run: " + e.message());
    }
    GateReasons reasons = compare_places(sample, inputs);
    MovedFigures moved = in_both(last_.figures, figures, inputs.community);
    if (are_strangers(reasons)) {
        not_compared("structure by structure, since they are not those of the last run");
    } else {
        moved.merge(by_structure(sample, inputs, config_.inputs));
        moved.merge(compare_heights(last_.heights, inputs.community));
    }
    SeenFigures compared = figures; // a figure of both may be no figure of the run alone
    for (const auto& [name, figure] : moved)
        compared[name] = figure.now;
    for (const GateKind kind : kinds_of(last_.figures))
        if (kinds_of(compared).count(kind) == 0)
            not_compared(fmt::format("{}, which this run does not have", name_of(kind)));
    for (const auto& [name, figure] : moved)
        moved_["figures"][name] = {{"before", figure.before}, {"now", figure.now}};
    add(reasons, judge_all(moved, config_.gate));
    return reasons;
}

void InputGate::look_at(const Inputs& inputs)
{
    GateReasons reasons = compare_rasters(inputs);
    add(reasons, compare_figures(inputs));
    judge(reasons);
}

void InputGate::say_warnings(const Warnings& warnings)
{
    for (Warning warning : warnings) {
        const auto before = last_.warnings.find(warning.key);
        if (last_.exists() && before == last_.warnings.end()) {
            warning.text = "new since the last run: " + warning.text;
            new_warnings_.push_back(warning.key);
        } else if (last_.exists() && warning.count > before->second) {
            warning.text =
                fmt::format("more than the {} of the last run: {}", before->second, warning.text);
        }
        log_.warn(warning);
    }
}

json InputGate::json() const
{
    const GateSettings& settings = config_.gate;
    nlohmann::json object = {{"on", settings.on},
                             {"max_change", settings.max_change},
                             {"max_relative_change", settings.max_relative_change},
                             {"max_structures_change", settings.max_structures_change},
                             {"max_regrouped", settings.max_regrouped},
                             {"min_height_correlation", settings.min_height_correlation},
                             {"compared_with", nullptr},
                             {"not_compared", not_compared_},
                             {"moved", moved_},
                             {mode_.tell ? "would_hold" : "accepted", reasons_json(reasons_)},
                             {"warned", reasons_json(near_)},
                             {"new_warnings", new_warnings_},
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
        log.detail(fmt::format("the input check: compared with generation {}: {}", last_.generation,
                               fmt::join(words_, "; ")));
}

} // namespace fuelring
