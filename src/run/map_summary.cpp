// SPDX-License-Identifier: Apache-2.0
#include "run/map_summary.hpp"

#include "run/manifest.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <array>
#include <string>
#include <string_view>

namespace fuelring {

namespace {

constexpr std::size_t most_rows = 5;
constexpr std::size_t name_width = 26;

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

void say_neighbourhoods(const std::vector<NeighbourhoodRow>& rows, double near_m, Log& log)
{
    std::size_t ranked = 0;
    for (const NeighbourhoodRow& row : rows)
        ranked += row.rank ? 1 : 0;
    if (ranked == 0)
        return;
    const std::string near = fmt::format("within {:g} m", near_m);
    log.info(fmt::format("rank {:<{}} structures {:>13} mean exposure", "neighbourhood", name_width,
                         near));
    std::size_t said = 0;
    for (const NeighbourhoodRow& row : rows) { // the ranked ones come first
        if (!row.rank || said == most_rows)
            break;
        ++said;
        log.info(fmt::format("{:>4} {:<{}} {:>10} {:>13} {:>13.1f}", *row.rank, plain(row.name),
                             name_width, row.structures, row.structures_near,
                             row.mean_exposure.value_or(0)));
    }
    if (ranked > said)
        log.info(fmt::format("     and {} more in neighbourhoods.csv", ranked - said));
}

/// What the figures leave out, in one line.
void say_left_out(const Warnings& warnings, Log& log)
{
    struct Kind {
        std::string_view key, one, many;
    };
    constexpr std::array kinds{
        Kind{"below_min_area", "small structure", "small structures"},
        Kind{"empty_outlines", "empty outline", "empty outlines"},
        Kind{"addresses_not_joined", "address without a structure",
             "addresses without a structure"},
        Kind{"addresses_without_point", "address without a point", "addresses without a point"}};
    std::string list;
    for (const Kind& kind : kinds)
        for (const Warning& warning : warnings)
            if (warning.key == kind.key)
                list += fmt::format("{}{} {}", list.empty() ? "" : ", ", warning.count,
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
    const auto& counts = summary.at("counts");
    log.info(fmt::format(
        "{} of {} structures have conifers within {:g} m; {:.1f} s, {:.0f} MiB",
        counts.at(fmt::format("structures_conifer_within_{:g}m", near_m)).get<std::int64_t>(),
        counts.at("structures").get<std::int64_t>(), near_m,
        summary.at("timings").at("total_s").get<double>(),
        summary.at("timings").at("peak_memory_mib").get<double>()));
    log.info(caution);
    log.info(fmt::format("outputs in {}", summary.at("out").get<std::string>()));
}

} // namespace fuelring
