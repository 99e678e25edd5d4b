// SPDX-License-Identifier: Apache-2.0

// A map that differs from an earlier one is not always newer imagery: a class table, a filter or a
// row of field checks moves the same figures. What imagery shows and what was entered is told
// apart.
#include "run/compare/change_causes.hpp"

#include "base/grouped.hpp"
#include "base/program/json_values.hpp"
#include "exposure/areas.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <nlohmann/json.hpp>

#include <algorithm>

namespace fuelring {

namespace {

using nlohmann::json;

bool same(const RunFolder& before, const RunFolder& after, const char* pointer)
{
    return value_at(before.manifest, pointer) == value_at(after.manifest, pointer);
}

std::int64_t corrected_cells(const RunFolder& run)
{
    const json cells = value_at(run.manifest, "/corrections/cells_changed");
    return cells.is_number_integer() ? cells.get<std::int64_t>() : 0;
}

double changed_m2(const ChangeArea& area)
{
    return area.removed_m2 + area.regrown_m2;
}

/// What differs between two runs of one raster, where corrections do not.
std::string other_reasons(const ChangeCauses& causes)
{
    return causes.other_classes ? "different class tables" : "different settings";
}

} // namespace

ChangeCauses causes_of(const RunFolder& before, const RunFolder& after)
{
    ChangeCauses causes;
    constexpr const char* raster = "/inputs/inputs.fuel.path/sha256";
    causes.same_raster = value_at(before.manifest, raster).is_string() &&
                         same(before, after, raster) &&
                         same(before, after, "/configuration/filters/inputs.fuel/band");
    causes.other_classes = !same(before, after, "/inputs/inputs.fuel.classes/sha256") ||
                           !same(before, after, "/configuration/filters/inputs.fuel/values");
    causes.same_corrections =
        same(before, after, "/corrections/sha256") && same(before, after, "/corrections/rows");
    causes.cells_before = corrected_cells(before);
    causes.cells_after = corrected_cells(after);
    const json is = value_at(after.manifest, "/configuration/filters");
    const json was = value_at(before.manifest, "/configuration/filters");
    if (is.is_object() && was.is_object()) // runs of older versions do not say
        for (const auto& [input, filter] : is.items())
            if (input != "inputs.fuel" && was.value(input, json()) != filter)
                causes.other_filters.push_back(input);
    return causes;
}

ByHand by_hand(const ChangeCauses& causes, const ChangeArea& widest, double cell_before_m2,
               double cell_after_m2)
{
    if (!causes.by_hand())
        return {};
    const double changed_ha = changed_m2(widest) / m2_per_ha;
    if (causes.same_raster && !causes.other_classes && !causes.same_corrections)
        return {changed_ha, true};
    // Each corrected cell may account for all of its ground, but corrections never for more than
    // changed.
    const double most_m2 = static_cast<double>(causes.cells_before) * cell_before_m2 +
                           static_cast<double>(causes.cells_after) * cell_after_m2;
    return {std::min(most_m2 / m2_per_ha, changed_ha), false};
}

std::vector<std::string> cause_sentences(const ChangeCauses& causes, const ChangeArea& widest,
                                         double widest_m, const ByHand& hand)
{
    std::vector<std::string> said;
    const std::string hectares =
        fmt::format("{:.2f} ha removed and {:.2f} ha regrown within {:g} m",
                    widest.removed_m2 / m2_per_ha, widest.regrown_m2 / m2_per_ha, widest_m);
    if (causes.same_raster)
        said.push_back("Both runs used the same vegetation raster, so the imagery shows no change "
                       "between them.");
    else if (causes.other_classes)
        said.push_back("The class tables of the runs differ: part of the change may come from "
                       "reading the maps differently, not from the land.");
    if (hand.exact)
        said.push_back(
            fmt::format("Corrections entered by hand account for all of it: {}.", hectares));
    else if (causes.by_hand() && causes.same_corrections)
        said.push_back(
            fmt::format("Both maps include the same corrections entered by hand ({} cells "
                        "in the earlier map, {} in the later one).",
                        grouped(causes.cells_before), grouped(causes.cells_after)));
    else if (causes.by_hand())
        said.push_back(fmt::format("Corrections entered by hand changed {} cells in the earlier "
                                   "map and {} in the later one: they account for up to {:.2f} ha "
                                   "of the area listed as removed or regrown.",
                                   grouped(causes.cells_before), grouped(causes.cells_after),
                                   hand.most_ha));
    if (causes.same_raster && !hand.exact && changed_m2(widest) > rounding_m2)
        said.push_back(fmt::format("{} come from {}{}.", hectares,
                                   causes.by_hand() ? "these corrections or " : "",
                                   other_reasons(causes)));
    if (!causes.other_filters.empty())
        said.push_back(fmt::format("The runs filtered {} differently: anything in only one run may "
                                   "have been filtered out.",
                                   fmt::join(causes.other_filters, " and ")));
    return said;
}

json causes_json(const ChangeCauses& causes, const ByHand& hand)
{
    return {{"same_raster", causes.same_raster},
            {"same_class_table", !causes.other_classes},
            {"same_corrections", causes.same_corrections},
            {"corrected_cells_before", causes.cells_before},
            {"corrected_cells_after", causes.cells_after},
            {"by_hand_at_most_ha", hand.most_ha},
            {"by_hand_is_all", hand.exact},
            {"filters_differ", causes.other_filters}};
}

} // namespace fuelring
