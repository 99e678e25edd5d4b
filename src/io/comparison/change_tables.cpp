// SPDX-License-Identifier: Apache-2.0
#include "io/comparison/change_tables.hpp"

#include "exposure/areas.hpp"
#include "io/geopackage/footprint_wkb.hpp"
#include "io/tables/address_table.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace fuelring {

namespace {

using Type = GpkgField::Type;

void append_adjusted(RowValues& values, const Estimate* area_m2)
{
    const std::optional<double> half = area_m2 ? area_m2->half_width() : std::nullopt;
    values.number(area_m2 ? std::optional{area_m2->value / m2_per_ha} : std::nullopt)
        .number(half ? std::optional{*half / m2_per_ha} : std::nullopt);
}

std::vector<GpkgValue> values_of(const ChangeRow& row, const ChangeTables& tables)
{
    const RingPlan& plan = tables.rings.plan;
    const ChangeArea& a = row.area;
    RowValues values;
    values.text(name_of(row.scope))
        .text(row.name)
        .text(row.within ? "within_" + within_label(plan, row.distance)
                         : ring_label(plan, row.distance))
        .count(row.structures);
    for (const double m2 : {a.ground_m2(), a.compared_m2, a.conifer_before_m2(),
                            a.conifer_after_m2(), a.removed_m2, a.regrown_m2, a.unchanged_m2})
        values.number(hectares(m2));
    values.number(a.net_m2() / m2_per_ha);
    for (const double m2 : {a.before_only_m2, a.after_only_m2, a.neither_m2,
                            a.before_only_conifer_m2, a.after_only_conifer_m2})
        values.number(hectares(m2));
    values.text(tables.adjusted ? mapped_and_adjusted : mapped_only);
    append_adjusted(values, row.adjusted ? &row.adjusted->removed_m2 : nullptr);
    append_adjusted(values, row.adjusted ? &row.adjusted->regrown_m2 : nullptr);
    append_adjusted(values, row.adjusted ? &row.adjusted->unchanged_m2 : nullptr);
    values.text(row.owner);
    return values.take();
}

/// What the columns of one structure need to know.
struct Sides {
    const StructureChange& change;
    const ChangeTables& tables;
    const Structure* was = nullptr;
    const Structure* is = nullptr;
    const PastFigures* figures_was = nullptr;
    const PastFigures* figures_is = nullptr;

    Sides(const StructureChange& c, const ChangeTables& t) : change(c), tables(t)
    {
        if (c.match.before) {
            was = &t.before.structures[*c.match.before];
            figures_was = &t.before.figures[*c.match.before];
        }
        if (c.match.after) {
            is = &t.after.structures[*c.match.after];
            figures_is = &t.after.figures[*c.match.after];
        }
    }
    const Structure& latest() const { return is ? *is : *was; }
    const PastFigures& latest_figures() const { return figures_is ? *figures_is : *figures_was; }
};

std::vector<PlainTable::Column> structure_columns(const ChangeTables& tables, bool with_address)
{
    std::vector<PlainTable::Column> columns{{"status", Type::text}, {"direction", Type::text}};
    if (with_address)
        columns.push_back({"address", Type::text});
    const auto real = [&columns](std::string name, int decimals) {
        columns.push_back({std::move(name), Type::real, decimals});
    };
    columns.push_back({"structure_id", Type::text});
    columns.push_back({"structure_id_before", Type::text});
    columns.push_back({"neighbourhood", Type::text});
    real("x", decimals_of_metres);
    real("y", decimals_of_metres);
    real("lon", decimals_of_degrees);
    real("lat", decimals_of_degrees);
    real("exposure_before", decimals_of_exposure);
    real("exposure_after", decimals_of_exposure);
    real("exposure_change", decimals_of_exposure);
    real("change_by_fuel", decimals_of_exposure);
    real("change_otherwise", decimals_of_exposure);
    for (const char* name : {"rank_before", "rank_after", "rank_change"})
        columns.push_back({name, Type::integer});
    real("nearest_conifer_before_m", decimals_of_metres);
    real("nearest_conifer_after_m", decimals_of_metres);
    for (std::size_t k = 0; k < tables.rings.plan.outer_m.size(); ++k)
        for (const char* what : {"removed_m2_", "regrown_m2_", "unchanged_m2_", "not_compared_m2_"})
            real(what + ring_label(tables.rings.plan, k), decimals_of_metres);
    return columns;
}

void append_rings(RowValues& values, const StructureChange& change, std::size_t rings)
{
    for (std::size_t k = 0; k < rings; ++k) {
        if (change.within.empty()) {
            values.number({}).number({}).number({}).number({});
            continue;
        }
        ChangeArea ring = change.within[k + 1];
        ring -= change.within[k];
        for (const double m2 : {ring.removed_m2, ring.regrown_m2, ring.unchanged_m2,
                                ring.ground_m2() - ring.compared_m2})
            values.number(std::max(m2, 0.0));
    }
}

std::optional<std::int64_t> rank_change(const Sides& sides)
{
    if (!sides.tables.ranks_compare || !sides.figures_was || !sides.figures_is ||
        !sides.figures_was->rank || !sides.figures_is->rank)
        return std::nullopt;
    return *sides.figures_is->rank - *sides.figures_was->rank;
}

/// `address`: null where the table has none.
std::vector<GpkgValue> values_of(const Sides& sides, const std::string* address)
{
    const StructureChange& c = sides.change;
    const Structure& s = sides.latest();
    const PastFigures none;
    const PastFigures& was = sides.figures_was ? *sides.figures_was : none;
    const PastFigures& is = sides.figures_is ? *sides.figures_is : none;
    RowValues values;
    values.text(name_of(c.match.kind)).text(name_of(c.direction));
    if (address)
        values.text(*address);
    values.text(s.id)
        .text(sides.was ? sides.was->id : std::string{})
        .text(sides.latest_figures().neighbourhood)
        .number(s.inside.x)
        .number(s.inside.y)
        .number(s.lon_deg)
        .number(s.lat_deg)
        .number(was.exposure)
        .number(is.exposure)
        .number(c.exposure.change)
        .number(c.exposure.by_fuel)
        .number(c.exposure.otherwise())
        .count(was.rank)
        .count(is.rank)
        .count(rank_change(sides))
        .number(was.nearest_conifer_m)
        .number(is.nearest_conifer_m);
    append_rings(values, c, sides.tables.rings.plan.outer_m.size());
    return values.take();
}

/// Texts of the addresses by structure, in the order of the table.
std::vector<std::vector<std::string>> addresses_of(const PastTables& tables)
{
    std::vector<std::vector<std::string>> texts(tables.structures.size());
    for (const PastAddress& a : tables.addresses)
        texts[a.structure].push_back(a.text);
    return texts;
}

} // namespace

PlainTable change_table(const ChangeTables& tables)
{
    PlainTable table;
    table.columns = {{"scope", Type::text},
                     {"name", Type::text},
                     {"distance", Type::text},
                     {"structures", Type::integer}};
    for (const char* name : {"ground_ha", "compared_ha", "conifer_before_ha", "conifer_after_ha",
                             "removed_ha", "regrown_ha", "unchanged_ha", "net_change_ha",
                             "mapped_before_only_ha", "mapped_after_only_ha", "mapped_never_ha",
                             "conifer_mapped_before_only_ha", "conifer_mapped_after_only_ha"})
        table.columns.push_back({name, Type::real, decimals_of_hectares});
    table.columns.push_back({"basis", Type::text});
    for (const char* name : {"removed_adjusted_ha", "removed_ci95_ha", "regrown_adjusted_ha",
                             "regrown_ci95_ha", "unchanged_adjusted_ha", "unchanged_ci95_ha"})
        table.columns.push_back({name, Type::real, decimals_of_hectares});
    table.columns.push_back({"owner", Type::text});
    for (const ChangeRow& row : tables.rows)
        table.rows.push_back({values_of(row, tables), {}});
    return table;
}

PlainTable address_change_table(const ChangeTables& tables)
{
    PlainTable table{structure_columns(tables, true), {}};
    const auto before = addresses_of(tables.before);
    const auto after = addresses_of(tables.after);
    for (const StructureChange& change : tables.structures) {
        const Sides sides{change, tables};
        const auto& texts =
            change.match.after ? after[*change.match.after] : before[*change.match.before];
        for (const std::string& text : texts)
            table.rows.push_back({values_of(sides, &text), {}});
    }
    return table;
}

PlainTable structure_change_table(const ChangeTables& tables)
{
    PlainTable table{structure_columns(tables, false), {}};
    for (const StructureChange& change : tables.structures) {
        const Sides sides{change, tables};
        const Structure& s = sides.latest();
        table.rows.push_back(
            {values_of(sides, nullptr),
             wkb_multipolygon(s.footprint, s.frame, tables.grid.at_scale(s.map_scale))});
    }
    return table;
}

void write_change_geopackage(const std::filesystem::path& path, const ChangeTables& tables)
{
    GpkgFile file{path, tables.crs};
    add_plain_layer(file, "change_structures", structure_change_table(tables));
    add_plain_layer(file, "change_areas", change_table(tables));
    if (tables.treatment)
        add_plain_layer(file, "treatment_records",
                        treatment_record_table(*tables.treatment, tables.rings.plan, tables.grid));
    file.finish();
}

} // namespace fuelring
