// SPDX-License-Identifier: Apache-2.0

// Prints the starter configuration: every key that the program accepts, with its default. What a
// town must fill in stands open; all else is a comment of the form "#key = value", which works
// once the # is taken away.
#include "run/config/config_keys.hpp"

#include <fmt/format.h>

#include <array>
#include <cstdio>
#include <string>

using namespace fuelring;

namespace {

constexpr std::string_view head =
    R"(# Starter configuration of fuelring: copy it, fill in the lines without #, and run
#     fuelring check COPY
# A line "#key = value" is a key with its default, or with an example where there is none: take the
# # away to set it, and that of its [table]. Paths are relative to this file. The manual explains all.
)";

struct Example {
    std::string_view table, key, value;
};
/// For keys without a default.
constexpr auto examples = std::to_array<Example>({
    {"community", "name", "\"My Town\""},
    {"community.area", "path", "\"boundary.gpkg\""},
    {"community.area", "layer", "\"boundary\""},
    {"community.area", "box", "[-117.31, 49.45, -117.22, 49.52]"},
    {"inputs.structures", "path", "\"structures.gpkg\""},
    {"inputs.structures", "layer", "\"structures\""},
    {"inputs.structures", "id", "\"structure_id\""},
    {"inputs.structures", "homes", "\"kind = 'home'\""},
    {"inputs.structures", "people", "\"people\""},
    {"inputs.structures.attributes", "column", "\"roof_test_class\""},
    {"inputs.structures.attributes", "multipliers", "\"roof_covering.csv\""},
    {"inputs.structures.attributes", "unknown", "1.0"},
    {"inputs.fuel", "path", "\"fuel.tif\""},
    {"inputs.fuel", "classes", "\"fuel_classes.csv\""},
    {"inputs.fuel", "date", "2026-07-15"},
    {"inputs.addresses", "path", "\"addresses.gpkg\""},
    {"inputs.addresses", "layer", "\"addresses\""},
    {"inputs.addresses", "text", "\"address\""},
    {"inputs.neighbourhoods", "path", "\"neighbourhoods.gpkg\""},
    {"inputs.neighbourhoods", "layer", "\"neighbourhoods\""},
    {"inputs.neighbourhoods", "name", "\"name\""},
    {"inputs.parcels", "path", "\"parcels.gpkg\""},
    {"inputs.parcels", "layer", "\"parcels\""},
    {"inputs.parcels", "owner", "\"owner\""},
    {"inputs.elevation", "path", "\"elevation.tif\""},
    {"imagery", "cell_m", "1"},
    {"imagery.images", "path", "\"photo.tif\""},
    {"imagery.images", "roles", "[\"blue\", \"green\", \"red\", \"near_infrared\"]"},
    {"imagery.images", "date", "2026-07-15"},
    {"imagery.training", "path", "\"training.gpkg\""},
    {"imagery.training", "where", "\"checked = 'yes'\""},
    {"imagery.training", "group", "\"group\""},
    {"imagery.training", "block", "\"stand\""},
    {"imagery.output", "dir", "\"fuel\""},
    {"rings", "near_m", "10"},
    {"sensitivity", "confusion", "\"accuracy.csv\""},
    {"sensitivity.trials", "name", "\"equal weights\""},
    {"sensitivity.trials", "weight", "[0.25, 0.25, 0.25, 0.25]"},
    {"sensitivity.trials", "outer_m", "[1.5, 10, 30, 100]"},
    {"sensitivity.trials", "classes", "\"other_classes.csv\""},
    {"output", "dir", "\"out\""},
    {"run", "memory_mb", "2000"},
    {"run", "minutes", "120"},
    {"report.context", "path", "\"streets.gpkg\""},
    {"appraise", "budget", "50000"},
    {"treat.costs", "per_ha", "9000"},
    {"treat.budget", "money", "50000"},
    {"treat.budget", "hectares", "3"},
    {"treat.keep_out", "path", "\"streams.gpkg\""},
    {"treat.barriers", "path", "\"fences.gpkg\""},
    {"treat.declined", "id", "\"parcel_no\""},
    {"treat.required", "path", "\"first_areas.gpkg\""},
    {"treat.thinning", "owner", "\"private\""},
    {"treat.limits", "neighbourhood", "\"Far Bank\""},
    {"treat.limits", "owner", "\"municipal\""},
    {"treat.limits", "at_least", "20"},
    {"treat.limits", "at_most", "200"},
    {"treat.strips", "path", "\"roads.gpkg\""},
    {"treat.years", "year", "2027"},
    {"treat.years", "budget", "50000"},
});

std::string value_of(const ConfigKey& key)
{
    if (!key.fallback.empty() && key.fallback != required_key)
        return std::string{key.fallback};
    for (const Example& example : examples)
        if (example.table == key.table && example.key == key.key)
            return std::string{example.value};
    if (key.key == "crs")
        return "\"EPSG:32611\"";
    if (key.key == "where")
        return "\"kind <> 'ruin'\"";
    if (key.key == "encoding")
        return "\"WINDOWS-1252\"";
    switch (key.type) {
    case KeyType::choice:
        return fmt::format("\"{}\"", key.allowed.substr(0, key.allowed.find(" | ")));
    case KeyType::flag:
        return "true";
    case KeyType::number:
        return "10";
    case KeyType::whole:
        return std::string{key.allowed.substr(0, key.allowed.find(' '))};
    default:
        return fmt::format("\"{}\"", key.key);
    }
}

/// "what it is (m; 0 or more; needed)".
std::string remark_on(const ConfigKey& key)
{
    std::string facts{key.unit};
    const auto add = [&facts](std::string_view fact) {
        facts += (facts.empty() ? "" : "; ") + std::string{fact};
    };
    if (!key.allowed.empty())
        add(key.allowed);
    if (key.fallback == required_key)
        add("needed");
    else if (key.fallback.empty())
        add("no default");
    return facts.empty() ? std::string{key.what} : fmt::format("{} ({})", key.what, facts);
}

/// Tables that a town has to fill in.
bool stands_open(const ConfigSection& section)
{
    return section.required && section.name.find("treat") == std::string_view::npos;
}

void print(const ConfigSection& section)
{
    const bool list =
        section.shape == SectionShape::list || section.shape == SectionShape::inline_list;
    const bool open = stands_open(section);
    fmt::print("\n# {}\n{}{}{}{}\n", section.what, open ? "" : "#", list ? "[[" : "[", section.name,
               list ? "]]" : "]");
    for (const ConfigKey& key : config_keys()) {
        if (key.table != section.name)
            continue;
        if (key.key == "hectares" || key.key == "box") { // one of two
            fmt::print("# or {} = {}  # {}\n", key.key, value_of(key), remark_on(key));
            continue;
        }
        const bool is_required = open && key.fallback == required_key;
        fmt::print("{}{} = {}  # {}\n", is_required ? "" : "#", key.key, value_of(key),
                   remark_on(key));
    }
}

} // namespace

int main()
{
    fmt::print("# SPDX-License-Identifier: Apache-2.0\n{}", head);
    for (const ConfigSection& section : config_sections())
        print(section);
    return std::fflush(stdout) == 0 ? 0 : 1;
}
