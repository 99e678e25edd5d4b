// SPDX-License-Identifier: Apache-2.0
#include "run/appraise/method_note.hpp"

#include "base/grouped.hpp"
#include "exposure/areas.hpp"
#include "io/projects/project_tables.hpp"
#include "run/config/config.hpp"
#include "run/manifest/method_sentences.hpp"

#include <fuelring/version.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <iterator>

namespace fuelring {

namespace {

/// Whose exposure is counted.
std::string homes_sentence(const ProjectAccount& account, const Config& config)
{
    const StructureSource& source = config.inputs.structures;
    const std::int64_t measured = std::count_if(account.before.begin(), account.before.end(),
                                                [](const auto& e) { return e.has_value(); });
    std::string text = buildings_part(config, measured, std::ssize(account.before));
    text += source.homes.empty() ? "; each of them counts as a home"
                                 : fmt::format("; the {} with {} count as homes",
                                               grouped(account.homes), source.homes);
    return text + ".";
}

std::string unknown_sentence(const ProjectRow& all)
{
    return fmt::format("Of the {:.2f} ha of the projects within reach of a building, {:.2f} ha are "
                       "unmapped: conifers there are unknown and not counted.",
                       all.reach().ground_m2 / m2_per_ha, all.reach().unmapped_m2 / m2_per_ha);
}

} // namespace

std::string method_note(const ProjectAccount& account, const Inputs& inputs, const Config& config)
{
    return fmt::format(
        "{} {} {} {} Exposure is linear in conifers, so values after a project are those that the "
        "same measurement gives on the map changed accordingly: a map cell partly inside a polygon "
        "loses that part of what is taken, and where polygons overlap the smallest share that "
        "stays "
        "holds. Roofs and land beyond {:g} m are left out. {} The share of the best compares with "
        "clearing as many hectares of conifers cell by cell wherever they count most (a fractional "
        "knapsack; Dantzig, Operations Research 5, 1957), without regard to owners or access. "
        "Errors of the map are not included. fuelring {}.",
        projects_caution(), homes_sentence(account, config), rings_sentence(config.rings),
        map_sentence(inputs, config), config.rings.widest_m(), unknown_sentence(account.all()),
        version);
}

} // namespace fuelring
