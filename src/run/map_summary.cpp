// SPDX-License-Identifier: Apache-2.0
#include "run/map_summary.hpp"

#include "base/grouped.hpp"
#include "base/program/json_values.hpp"
#include "io/community/community_findings.hpp"
#include "run/manifest/manifest.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <array>
#include <string>
#include <string_view>

namespace fuelring {

namespace {

constexpr std::size_t most_rows = 5;
constexpr std::size_t name_width = 25;

/// Bytes of the first characters of UTF-8 text, no more than `characters` of them.
std::string_view shortened(std::string_view text, std::size_t characters)
{
    std::size_t at = 0;
    for (; at < text.size(); ++at)
        if ((static_cast<unsigned char>(text[at]) & 0xC0U) != 0x80U && characters-- == 0)
            break;
    return text.substr(0, at);
}

/// A name that cannot move the lines of a terminal.
std::string plain(std::string_view name)
{
    std::string text{shortened(name, name_width)};
    std::replace_if(
        text.begin(), text.end(), [](unsigned char c) { return c < 0x20 || c == 0x7F; }, '?');
    return text;
}

/// "30 of 425", or the number alone where it is of all structures.
std::string of_how_many(std::int64_t part, std::int64_t whole, bool of_all)
{
    return of_all ? grouped(part) : fmt::format("{} of {}", grouped(part), grouped(whole));
}

void say_neighbourhoods(const std::vector<NeighbourhoodRow>& rows, double near_m, Log& log)
{
    std::size_t ranked = 0;
    for (const NeighbourhoodRow& row : rows)
        ranked += row.rank ? 1 : 0;
    if (ranked == 0)
        return;
    const bool all_measured = std::all_of(rows.begin(), rows.end(), [](const auto& row) {
        return row.structures_measured == row.structures;
    });
    const std::string near = fmt::format("within {:g} m", near_m);
    log.info(fmt::format("rank {:<{}} {:>12} {:>12} {:>13}", "neighbourhood", name_width,
                         all_measured ? "structures" : "measured", near, "mean exposure"));
    std::size_t said = 0;
    for (const NeighbourhoodRow& row : rows) { // the ranked ones come first
        if (!row.rank || said == most_rows)
            break;
        ++said;
        log.info(fmt::format("{:>4} {:<{}} {:>12} {:>12} {:>13.1f}", *row.rank, plain(row.name),
                             name_width,
                             of_how_many(row.structures_measured, row.structures,
                                         row.structures_measured == row.structures),
                             of_how_many(row.structures_near, row.structures_known_near,
                                         row.structures_known_near == row.structures),
                             row.mean_exposure.value_or(0)));
    }
    if (ranked > said)
        log.info(fmt::format("     and {} more in neighbourhoods.csv",
                             grouped(static_cast<std::int64_t>(ranked - said))));
}

/// What the figures are of, where some structures are not measured, and who has no rank for it.
void say_unknown(const std::vector<NeighbourhoodRow>& rows, const nlohmann::json& counts, Log& log)
{
    const NeighbourhoodRow& community = rows.back();
    const auto partly = counts.at("flags").at("partly_unmapped").get<std::int64_t>();
    if (community.structures_measured < community.structures)
        log.info(fmt::format("{} of {} structures measured, {} of them partly unmapped",
                             grouped(community.structures_measured), grouped(community.structures),
                             grouped(partly)));
    const auto unranked = std::count_if(rows.begin(), rows.end(), [](const auto& row) {
        return row.neighbourhood && row.structures > 0 && !row.rank;
    });
    if (unranked > 0)
        log.info(fmt::format("{} {} not ranked: less than half measured", unranked,
                             unranked == 1 ? "neighbourhood" : "neighbourhoods"));
}

/// Of the structures for which it is known; how many others there are.
std::string headline(const NeighbourhoodRow& community, double near_m)
{
    const std::int64_t unknown = community.structures - community.structures_known_near;
    std::string text = fmt::format("{} of {} structures have conifers within {:g} m",
                                   grouped(community.structures_near),
                                   grouped(community.structures_known_near), near_m);
    return unknown > 0 ? text + fmt::format(" ({} more {} unmapped there)", grouped(unknown),
                                            unknown == 1 ? "is" : "are")
                       : text;
}

/// What the figures leave out, in one line.
void say_left_out(const Warnings& warnings, Log& log)
{
    struct Kind {
        std::string_view key, one, many;
    };
    constexpr std::array kinds{
        Kind{"outside_area", "structure outside the area", "structures outside the area"},
        Kind{"below_min_area", "small structure", "small structures"},
        Kind{"empty_outlines", "empty outline", "empty outlines"},
        Kind{"addresses_not_joined", "address without a structure",
             "addresses without a structure"},
        Kind{"addresses_without_point", "address without a point", "addresses without a point"}};
    std::string list;
    for (const Kind& kind : kinds)
        for (const Warning& warning : warnings)
            if (warning.key == kind.key)
                list += fmt::format("{}{} {}", list.empty() ? "" : ", ", grouped(warning.count),
                                    warning.count == 1 ? kind.one : kind.many);
    if (!list.empty())
        log.info("left out: " + list);
}

} // namespace

void say_summary(const nlohmann::json& summary, const std::vector<NeighbourhoodRow>& neighbourhoods,
                 const Warnings& warnings, double near_m, Log& log)
{
    say_neighbourhoods(neighbourhoods, near_m, log);
    say_left_out(warnings, log);
    say_unknown(neighbourhoods, summary.at("counts"), log);
    log.detail(fmt::format("took {:.1f} s and {:.0f} MiB of memory",
                           summary.at("timings").at("total_s").get<double>(),
                           summary.at("timings").at("peak_memory_mib").get<double>()));
    log.info(headline(neighbourhoods.back(), near_m));
    log.info(caution);
    log.info(fmt::format("outputs in {}", summary.at("out").get<std::string>()));
}

nlohmann::json say_same_run(const PreviousRun& same, Log& log)
{
    nlohmann::json summary = summary_of(same.manifest, same.path);
    summary["nothing_changed"] = true;
    for (const nlohmann::json& w : summary.at("warnings"))
        log.warn(w.get<Warning>());
    log.info(fmt::format("nothing changed since the run of {}: {} stays as it is",
                         summary.at("timings").at("finished").get<std::string>(),
                         same.path.string()));
    return summary;
}

void warn_of_open_splits(const std::vector<MeasuredStructure>& measures, Inputs& inputs)
{
    Finding open;
    for (std::size_t i = 0; i < measures.size(); ++i)
        if (measures[i].owners && measures[i].owners->open)
            open.add(inputs.community.structures[i].id);
    open.report(inputs.warnings, "owner_splits_open",
                "structures could not be split by owner: these figures are empty");
}

} // namespace fuelring
