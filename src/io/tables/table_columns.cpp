// SPDX-License-Identifier: Apache-2.0
#include "io/tables/table_columns.hpp"

#include "exposure/areas.hpp"

#include <fmt/format.h>

#include <limits>
#include <stdexcept>

namespace fuelring {

namespace {

using ColumnKind = TableColumn::Kind;

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

template <typename T>
double number(const std::optional<T>& value)
{
    return value ? static_cast<double>(*value) : unknown;
}

/// Conifer area of a region, or nothing where too little of it is mapped to say.
double conifer_m2(const RingArea& area)
{
    return area.counts_as_mapped() ? area.conifer_m2 : unknown;
}

void add_terrain_columns(std::vector<TableColumn>& columns)
{
    columns.push_back({"slope_pct", ColumnKind::real, decimals_of_slopes});
    columns.push_back({"aspect_deg", ColumnKind::real, decimals_of_slopes});
    columns.push_back({"slope_residual_m", ColumnKind::real, decimals_of_metres});
    columns.push_back({"slope_break_distance_m", ColumnKind::real, decimals_of_metres});
    columns.push_back({"ring_down_factor", ColumnKind::real, decimals_of_slopes});
    columns.push_back({"ring_across_factor", ColumnKind::real, decimals_of_slopes});
}

void add_terrain_numbers(const Terrain& terrain, const RingStretch& stretch,
                         std::vector<double>& numbers)
{
    numbers.insert(numbers.end(),
                   {terrain.slope ? 100 * terrain.slope->fall : unknown, number(terrain.aspect_deg),
                    terrain.slope ? terrain.slope->residual_m : unknown,
                    number(terrain.slope_break_m), stretch.down, stretch.across});
}

/// Conifer area of every ring by owner; the roof's comes first and has no columns.
void append_owners(const StructureMeasure& m, std::vector<double>& numbers)
{
    const std::vector<double>& areas = m.owners->conifer_m2;
    const std::size_t shares = areas.size() / (m.rings.size() + 1);
    for (std::size_t k = shares; k < areas.size(); ++k)
        numbers.push_back(m.rings[k / shares - 1].counts_as_mapped() ? areas[k] : unknown);
    numbers.push_back(unknown); // owner
}

void add_draw_columns(const RingPlan& plan, std::vector<TableColumn>& columns)
{
    columns.push_back({"exposure_p05", ColumnKind::real, decimals_of_exposure});
    columns.push_back({"exposure_p95", ColumnKind::real, decimals_of_exposure});
    for (std::size_t ring = 0; ring < plan.outer_m.size(); ++ring)
        for (const char* name : {"conifer_frac_p05_", "conifer_frac_p95_"})
            columns.push_back(
                {name + ring_label(plan, ring), ColumnKind::real, decimals_of_fractions});
    columns.push_back({"share_of_draws_in_first", ColumnKind::real, decimals_of_fractions});
    columns.push_back({"draws_with_exposure", ColumnKind::integer});
}

void append_draws(const StructureDraws& draws, std::vector<double>& numbers)
{
    const auto add = [&](const Spread& spread) {
        numbers.insert(numbers.end(), {number(spread.p05), number(spread.p95)});
    };
    add(draws.exposure);
    for (const Spread& ring : draws.conifer_frac)
        add(ring);
    numbers.insert(numbers.end(),
                   {number(draws.in_first), static_cast<double>(draws.with_exposure)});
}

} // namespace

double hectares(double m2)
{
    return std::max(m2, 0.0) / m2_per_ha;
}

std::string ring_label(const RingPlan& plan, std::size_t ring)
{
    const double inner_m = ring == 0 ? 0 : plan.outer_m[ring - 1];
    return fmt::format("{}_{}m", inner_m, plan.outer_m[ring]);
}

std::string within_label(const RingPlan& plan, std::size_t ring)
{
    return fmt::format("{}m", plan.outer_m[ring]);
}

std::vector<TableColumn> address_columns(const RunTables& tables)
{
    const RingPlan& plan = tables.plan;
    const auto metres = [](std::string name) {
        return TableColumn{std::move(name), ColumnKind::real, decimals_of_metres};
    };
    const auto fraction = [](std::string name) {
        return TableColumn{std::move(name), ColumnKind::real, decimals_of_fractions};
    };
    std::vector<TableColumn> columns = {
        {"rank", ColumnKind::integer},
        {"rank_in_neighbourhood", ColumnKind::integer},
        {"address", ColumnKind::address},
        {"structure_id", ColumnKind::structure_id},
        {"neighbourhood", ColumnKind::neighbourhood},
        metres("x"),
        metres("y"),
        {"lon", ColumnKind::real, decimals_of_degrees},
        {"lat", ColumnKind::real, decimals_of_degrees},
        metres("footprint_m2"),
        metres("roof_canopy_m2"),
        metres("nearest_conifer_m"),
        {"exposure", ColumnKind::real, decimals_of_exposure},
    };
    for (std::size_t ring = 0; ring < plan.outer_m.size(); ++ring) {
        const std::string label = ring_label(plan, ring);
        columns.push_back(metres("ring_m2_" + label));
        columns.push_back(metres("conifer_m2_" + label));
        columns.push_back(fraction("conifer_frac_" + label));
        columns.push_back(fraction("other_burnable_frac_" + label));
        columns.push_back(fraction("unmapped_frac_" + label));
    }
    for (std::size_t ring = 0; ring < plan.outer_m.size(); ++ring)
        columns.push_back(fraction("conifer_frac_within_" + within_label(plan, ring)));
    columns.push_back({"flags", ColumnKind::flags});
    if (!tables.community.terrain.empty())
        add_terrain_columns(columns);
    if (tables.community.owners) {
        const std::vector<std::string> shares = tables.community.owners->shares();
        for (std::size_t ring = 0; ring < plan.outer_m.size(); ++ring)
            for (const std::string& share : shares)
                columns.push_back(
                    metres(fmt::format("conifer_m2_{}_{}", share, ring_label(plan, ring))));
        columns.push_back({"owner", ColumnKind::owner});
    }
    if (!tables.community.susceptibility.empty()) {
        columns.push_back({"susceptibility", ColumnKind::real, decimals_of_exposure});
        columns.push_back({"exposure_x_susceptibility", ColumnKind::real, decimals_of_exposure});
    }
    if (tables.draws)
        add_draw_columns(plan, columns);
    return columns;
}

void structure_numbers(const RunTables& tables, std::size_t structure, std::vector<double>& numbers)
{
    const Structure& s = tables.community.structures[structure];
    const StructureResult& r = tables.results[structure];
    numbers.assign({number(r.rank), number(r.rank_in_neighbourhood), unknown, unknown, unknown,
                    s.inside.x, s.inside.y, s.lon_deg, s.lat_deg, s.footprint_m2,
                    conifer_m2(r.measure->roof), number(r.measure->nearest_conifer_m),
                    number(r.exposure)});
    for (const RingArea& ring : r.measure->rings) {
        numbers.insert(numbers.end(), {ring.ring_m2, conifer_m2(ring), number(ring.conifer_frac()),
                                       number(ring.other_burnable_frac()), ring.unmapped_frac()});
    }
    RingArea within;
    for (const RingArea& ring : r.measure->rings) {
        within = within + ring;
        numbers.push_back(number(within.conifer_frac()));
    }
    numbers.push_back(unknown); // flags
    if (!tables.community.terrain.empty())
        add_terrain_numbers(tables.community.terrain[structure], s.stretch, numbers);
    if (tables.community.owners)
        append_owners(*r.measure, numbers);
    if (!tables.community.susceptibility.empty()) {
        numbers.push_back(tables.community.susceptibility[structure]);
        numbers.push_back(number(r.exposure_x_susceptibility));
    }
    if (tables.draws)
        append_draws(tables.draws->structures[structure], numbers);
}

namespace {

std::string owner_text(const RunTables& tables, std::size_t structure)
{
    const auto& split = tables.results[structure].measure->owners;
    if (!split || !split->own)
        return {};
    const Ownership& owners = tables.community.owners.value();
    const auto parcel = static_cast<std::size_t>(*split->own);
    return owners.classes[static_cast<std::size_t>(owners.class_of[parcel])];
}

} // namespace

std::string column_text(const RunTables& tables, const AddressRow& row, TableColumn::Kind kind)
{
    const Structure& s = tables.community.structures[row.structure];
    switch (kind) {
    case ColumnKind::address:
        return row.address ? tables.community.addresses[*row.address].text : std::string{};
    case ColumnKind::structure_id:
        return s.id;
    case ColumnKind::neighbourhood:
        return s.neighbourhood ? tables.community.neighbourhoods[*s.neighbourhood] : std::string{};
    case ColumnKind::flags:
        return flags_text(tables.results[row.structure]);
    case ColumnKind::owner:
        return owner_text(tables, row.structure);
    default:
        throw std::logic_error{"a column of numbers has no text"};
    }
}

} // namespace fuelring
