// SPDX-License-Identifier: Apache-2.0
#include "run/manifest/method_sentences.hpp"

#include "base/grouped.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <vector>

namespace fuelring {

std::string buildings_part(const Config& config, std::int64_t measured, std::int64_t all)
{
    const StructureSource& source = config.inputs.structures;
    std::string text = fmt::format("Exposure was measured around {} of {} buildings",
                                   grouped(measured), grouped(all));
    if (!source.where.empty())
        text += fmt::format(" (those with {})", source.where);
    if (source.min_area_m2 > 0)
        text += fmt::format(", smaller ones than {:g} m² left out", source.min_area_m2);
    return text;
}

std::string map_sentence(const Inputs& inputs, const Config& config)
{
    const std::string date = config.inputs.fuel.date;
    std::string text = fmt::format("The vegetation map is from imagery dated {}",
                                   date.empty() ? std::string{"(no date given)"} : date);
    if (inputs.field_checks && inputs.field_checks->cells_changed > 0)
        text += fmt::format(", with {} cells corrected by field checks",
                            grouped(inputs.field_checks->cells_changed));
    return text + ".";
}

std::string rings_sentence(const RingPlan& rings)
{
    double sum = 0;
    for (const double weight : rings.weight)
        sum += weight;
    std::vector<std::string> shares;
    for (const double weight : rings.weight)
        shares.push_back(fmt::format("{:.3g}", weight / sum));
    return fmt::format(
        "Exposure is the weighted share of conifers within {} m of the walls, with weights "
        "{} by ring: settings of the programme, not a standard.",
        fmt::join(rings.outer_m, ", "), fmt::join(shares, ", "));
}

} // namespace fuelring
