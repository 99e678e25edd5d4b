// SPDX-License-Identifier: Apache-2.0
#include "run/manifest/map_method.hpp"

#include "base/grouped.hpp"
#include "run/manifest/method_sentences.hpp"

#include <fuelring/version.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <iterator>

namespace fuelring {

namespace {

std::int64_t count_of(const std::vector<StructureResult>& results, Flag flag)
{
    return std::count_if(results.begin(), results.end(),
                         [flag](const StructureResult& r) { return r.has(flag); });
}

std::string unknown_sentence(const ManifestParts& parts)
{
    const std::int64_t partly = count_of(parts.results, Flag::partly_unmapped);
    return partly == 0
               ? std::string{"All land in their rings is mapped."}
               : fmt::format("{} of them have unmapped land in their rings: it is unknown, and "
                             "their exposure is that of what is mapped.",
                             grouped(partly));
}

std::string slopes_sentence(const Inputs& inputs)
{
    return inputs.elevation
               ? fmt::format(" Rings reach further down slopes, by a table of the programme ({} "
                             "buildings).",
                             grouped(inputs.terrain.stretched))
               : std::string{};
}

/// What ranges cover, and how to quote a value outside its own.
std::string draws_sentence(const ManifestParts& parts)
{
    if (!parts.draws)
        return " No range is given: how far footprints and map are misaligned was not tested.";
    std::string text = fmt::format(
        " Ranges (5th to 95th percentile) come from {} shifts of all footprints against the map "
        "by up to {:g} m. They cover that misalignment only, not errors of the map's classes.",
        parts.uncertainty->draws, parts.uncertainty->shift_m);
    if (parts.draws->outside > 0)
        text += fmt::format(
            " For {} building(s) the value lies outside its own range (flag {}): quote both, such "
            "as "
            "\"24 as mapped, 9 to 21 if the maps are misaligned by up to {:g} m\", and not the "
            "value as the middle of the range.",
            grouped(parts.draws->outside), name_of(Flag::outside_draws),
            parts.uncertainty->shift_m);
    return text;
}

} // namespace

std::string map_method(const ManifestParts& parts, const Config& config)
{
    const std::int64_t measured =
        std::count_if(parts.results.begin(), parts.results.end(),
                      [](const StructureResult& r) { return r.is_measured(); });
    return fmt::format(
        "{}. {} {} {} Areas are exact: a map cell that a ring's boundary crosses counts by the "
        "part inside.{}{} {} fuelring {}.",
        buildings_part(config, measured, std::ssize(parts.results)), unknown_sentence(parts),
        rings_sentence(config.rings), map_sentence(parts.inputs, config),
        slopes_sentence(parts.inputs), draws_sentence(parts), caution, version);
}

} // namespace fuelring
