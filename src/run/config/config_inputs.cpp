// SPDX-License-Identifier: Apache-2.0
#include "run/config/config_inputs.hpp"

#include "base/faults.hpp"
#include "run/config/config_terrain.hpp"

#include <fmt/format.h>

#include <string>
#include <utility>
#include <vector>

namespace fuelring {

using namespace std::string_literals;

namespace {

constexpr std::size_t most_attributes = 10; ///< products of multipliers stay finite

/// What the tables of all layers have.
LayerSource layer_of(const ConfigTable& t)
{
    return {.path = t.required_path("path"),
            .layer = t.text("layer"),
            .crs = t.text("crs"),
            .encoding = t.text("encoding")};
}

void read_structures(const ConfigTable& inputs, Config& config)
{
    const ConfigTable t = inputs.required_table("structures");
    config.structures = {layer_of(t), t.text("id"), t.number_from_0("min_area_m2", 0)};
    config.structures.where = t.text("where");
    const auto attributes = t.tables("attributes");
    if (attributes && attributes->size() > most_attributes)
        throw t.wrong(
            "attributes",
            fmt::format("{} attributes; {} is the most", attributes->size(), most_attributes),
            "leave some out: their multipliers are multiplied");
    for (const ConfigTable& a : attributes.value_or(std::vector<ConfigTable>{})) {
        config.attributes.push_back(
            {a.required_text("column"), a.required_path("multipliers"), a.number("unknown")});
        if (const auto& unknown = config.attributes.back().unknown;
            unknown && !is_multiplier(*unknown))
            throw a.wrong("unknown", fmt::format("a multiplier of {} is out of range", *unknown),
                          "multipliers are above 0 and at most 100");
        config.structures.attributes.push_back(config.attributes.back().column);
    }
}

bool unknown_codes_are_unmapped(const ConfigTable& fuel)
{
    const std::string choice =
        fuel.has("unknown_codes") ? fuel.required_text("unknown_codes") : "error";
    if (choice != "error" && choice != "unmapped")
        throw fuel.wrong("unknown_codes", fmt::format("'{}' is neither choice", choice),
                         "write \"error\" or \"unmapped\"");
    return choice == "unmapped";
}

void read_fuel(const ConfigTable& inputs, Config& config)
{
    const ConfigTable t = inputs.required_table("fuel");
    config.fuel = {.path = t.required_path("path"),
                   .band = static_cast<int>(t.whole("band", 1, 1000).value_or(1)),
                   .classes = t.required_path("classes"),
                   .date = t.date("date").value_or(""),
                   .crs = t.text("crs"),
                   .unknown_codes_are_unmapped = unknown_codes_are_unmapped(t)};
}

void read_addresses(const ConfigTable& inputs, Config& config)
{
    if (const auto t = inputs.table("addresses"))
        config.addresses = AddressSource{layer_of(*t), t->required_text("text"),
                                         t->number_from_0("join_within_m", default_join_within_m)};
}

void read_neighbourhoods(const ConfigTable& inputs, Config& config)
{
    if (const auto t = inputs.table("neighbourhoods"))
        config.neighbourhoods = NeighbourhoodSource{layer_of(*t), t->required_text("name")};
}

void read_parcels(const ConfigTable& inputs, Config& config)
{
    const auto t = inputs.table("parcels");
    if (!t)
        return;
    config.parcels = ParcelSource{layer_of(*t), t->required_text("owner"),
                                  t->texts("private").value_or(std::vector{"private"s})};
    config.parcels->where = t->text("where");
}

void read_corrections(const ConfigTable& inputs, Config& config)
{
    const auto t = inputs.table("corrections");
    if (!t)
        return;
    CorrectionSource& source = config.corrections.emplace(CorrectionSource{layer_of(*t)});
    for (const auto& [key, column] :
         {std::pair{"kind", &source.kind}, std::pair{"structure_id", &source.structure_id},
          std::pair{"group", &source.group}, std::pair{"date", &source.date},
          std::pair{"initials", &source.initials}, std::pair{"wkt", &source.wkt}})
        if (t->has(key))
            *column = t->required_text(key);
}

} // namespace

void read_inputs_table(const ConfigTable& root, Config& config)
{
    const ConfigTable inputs = root.required_table("inputs");
    config.reprojected_within_m =
        inputs.number_from_0("reprojected_within_m", default_reprojected_within_m);
    FaultList faults;
    for (const ReadTable read :
         {ReadTable{read_structures}, ReadTable{read_fuel}, ReadTable{read_addresses},
          ReadTable{read_neighbourhoods}, ReadTable{read_parcels}, ReadTable{read_elevation},
          ReadTable{read_corrections}})
        faults.attempt([&] { read(inputs, config); });
    faults.raise();
}

} // namespace fuelring
