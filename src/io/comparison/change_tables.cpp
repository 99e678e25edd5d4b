// SPDX-License-Identifier: Apache-2.0

// Columns of the two tables of a comparison, each once, with the words of the manual. Areas within
// a distance are kept as sums from the wall outwards, so a ring is the difference of two
// neighbours; what rounding leaves below 0 is 0.
#include "io/comparison/change_tables.hpp"

#include "exposure/areas.hpp"
#include "io/geopackage/footprint_wkb.hpp"
#include "io/tables/address_table.hpp"
#include "io/tables/csv_table.hpp"

#include <algorithm>
#include <functional>

namespace fuelring {

namespace {

using Figure = std::optional<double>;

/// A row of change.csv.
struct AreaRow {
    const ChangeTables& tables;
    const ChangeRow& row;
};

std::string distance_of(const AreaRow& r)
{
    const RingPlan& plan = r.tables.rings.plan;
    return r.row.within ? "within_" + within_label(plan, r.row.distance)
                        : ring_label(plan, r.row.distance);
}

template <auto Area>
double area_ha(const AreaRow& r)
{
    return hectares(std::invoke(Area, r.row.area));
}

template <Estimate AdjustedAreas::*Area>
Figure adjusted_ha(const AreaRow& r)
{
    return r.row.adjusted ? Figure{(*r.row.adjusted.*Area).value / m2_per_ha} : Figure{};
}

template <Estimate AdjustedAreas::*Area>
Figure half_width_ha(const AreaRow& r)
{
    const Figure half = r.row.adjusted ? (*r.row.adjusted.*Area).half_width() : Figure{};
    return half ? Figure{*half / m2_per_ha} : Figure{};
}

std::vector<Column<AreaRow>> area_columns()
{
    using namespace unit;
    using R = AreaRow;
    using Area = ChangeArea;
    using Adjusted = AdjustedAreas;
    return {
        {"scope", "Scope", none, [](const R& r) { return name_of(r.row.scope); },
         "scope: `community`; `neighbourhood` (its structures); `owner` (whose land around the "
         "community's structures: owner categories of AFTER's parcels, `no_parcel`; only if it "
         "had `[inputs.parcels]`); `neighbourhood_owner` (the same around a neighbourhood's "
         "structures; the category is in `owner`); `treatment` (ground inside "
         "the treated areas of `--records`; `(all)`: of any). distance: a ring (`1.5_10m`), or "
         "everything from the wall out (`within_10m`)"},
        {"name", "Name", none, [](const R& r) { return r.row.name; }},
        {"distance", "Distance", none, distance_of},
        {"structures", "Structures", none, [](const R& r) { return r.row.structures; },
         "how many of them, in both runs"},
        {"ground_ha", "Ground", ha, area_ha<&Area::ground_m2>,
         "all ground at that distance; the part mapped at both dates"},
        {"compared_ha", "Compared", ha, area_ha<&Area::compared_m2>},
        {"conifer_before_ha", "Conifer before", ha, area_ha<&Area::conifer_before_m2>,
         "on compared ground"},
        {"conifer_after_ha", "Conifer after", ha, area_ha<&Area::conifer_after_m2>},
        {"removed_ha", "Removed", ha, area_ha<&Area::removed_m2>,
         "on compared ground. A cell counts by its conifer share: if half the share is gone, "
         "half its area is removed. Net is regrown less removed"},
        {"regrown_ha", "Regrown", ha, area_ha<&Area::regrown_m2>},
        {"unchanged_ha", "Unchanged", ha, area_ha<&Area::unchanged_m2>},
        {"net_change_ha", "Net change", ha,
         [](const R& r) { return r.row.area.net_m2() / m2_per_ha; }},
        {"mapped_before_only_ha", "Mapped before only", ha, area_ha<&Area::before_only_m2>,
         "ground that is not compared; with the compared ground it adds up to `ground_ha`"},
        {"mapped_after_only_ha", "Mapped after only", ha, area_ha<&Area::after_only_m2>},
        {"mapped_never_ha", "Mapped never", ha, area_ha<&Area::neither_m2>},
        {"conifer_mapped_before_only_ha", "Conifer mapped before only", ha,
         area_ha<&Area::before_only_conifer_m2>,
         "conifers there: neither removed nor regrown, since one date does not know"},
        {"conifer_mapped_after_only_ha", "Conifer mapped after only", ha,
         area_ha<&Area::after_only_conifer_m2>},
        {"basis", "Basis", none, [](const R& r) { return basis_of(r.row, r.tables); },
         "`mapped, not adjusted`, `mapped, and adjusted by the matrix` or `mapped, and adjusted by "
         "reference points`"},
        {"removed_adjusted_ha", "Removed adjusted", ha, adjusted_ha<&Adjusted::removed_m2>,
         "only with `--points` or `--matrix`: the adjusted area, and the half-width of its 95% "
         "interval. By points: only where at least 30 judged points lie inside, all other rows are "
         "empty. By a matrix: only for the community within the widest distance, since a matrix "
         "does "
         "not tell where its points lie"},
        {"removed_ci95_ha", "Removed ci95", ha, half_width_ha<&Adjusted::removed_m2>},
        {"regrown_adjusted_ha", "Regrown adjusted", ha, adjusted_ha<&Adjusted::regrown_m2>},
        {"regrown_ci95_ha", "Regrown ci95", ha, half_width_ha<&Adjusted::regrown_m2>},
        {"unchanged_adjusted_ha", "Unchanged adjusted", ha, adjusted_ha<&Adjusted::unchanged_m2>},
        {"unchanged_ci95_ha", "Unchanged ci95", ha, half_width_ha<&Adjusted::unchanged_m2>},
        {"owner", "Owner", none, [](const R& r) { return r.row.owner; },
         "owner category, of rows of `neighbourhood_owner`"},
        {"reference_points", "Reference points", none,
         [](const R& r) { return r.row.reference_points; },
         "judged points inside; empty where that is not known"}};
}

/// A structure of either run, and one of its addresses.
struct ChangedHome {
    const StructureChange& change;
    const ChangeTables& tables;
    std::string address{};
    PastFigures was{}, is{}; ///< empty where it is not in that run
    const Structure* before = nullptr;
    const Structure* after = nullptr;

    ChangedHome(const StructureChange& c, const ChangeTables& t, std::string text = {})
        : change(c), tables(t), address(std::move(text))
    {
        if (c.match.before) {
            before = &t.before.structures[*c.match.before];
            was = t.before.figures[*c.match.before];
        }
        if (c.match.after) {
            after = &t.after.structures[*c.match.after];
            is = t.after.figures[*c.match.after];
        }
    }
    const Structure& latest() const { return after ? *after : *before; }
};

/// An area of a ring of its own; empty where the structure is in one run only.
template <auto Area>
Figure ring_m2(const ChangedHome& home, std::size_t k)
{
    // In one run only: nothing was there to compare, which is not the same as no change.
    if (home.change.within.empty())
        return {};
    ChangeArea ring = home.change.within[k + 1];
    ring -= home.change.within[k];
    return std::max(std::invoke(Area, ring), 0.0);
}

double not_compared_m2(const ChangeArea& area)
{
    return area.ground_m2() - area.compared_m2;
}

std::optional<std::int64_t> rank_change(const ChangedHome& home)
{
    if (!home.tables.ranks_compare || !home.was.rank || !home.is.rank)
        return std::nullopt;
    return *home.is.rank - *home.was.rank;
}

// Names and places are those of today; a structure that is gone keeps those of then.
std::vector<Column<ChangedHome>> home_columns(const Labels& rings, bool with_address)
{
    using namespace unit;
    using R = ChangedHome;
    using Area = ChangeArea;
    return laid_out<R>({
        {when(true),
         {{"status", "Status", none, [](const R& r) { return name_of(r.change.match.kind); },
           "`same`; `redrawn`: same id, other outline; `renamed`: another id on the same ground; "
           "`added`, `removed`: in one run only"},
          {"direction", "Direction", none, [](const R& r) { return name_of(r.change.direction); },
           "`fell`, `rose`, `stayed` (exposures at 4 decimals), `unknown`"}}},
        {when(with_address),
         {{"address", "Address", none, &R::address,
           "from AFTER; for removed structures from BEFORE"}}},
        {when(true),
         {{"structure_id", "Structure", none, [](const R& r) { return r.latest().id; }},
          {"structure_id_before", "Structure id before", none,
           [](const R& r) { return r.before ? r.before->id : std::string{}; }},
          {"neighbourhood", "Neighbourhood", none,
           [](const R& r) { return (r.after ? r.is : r.was).neighbourhood; }},
          {"x", "East", m, [](const R& r) { return r.latest().inside.x; }},
          {"y", "North", m, [](const R& r) { return r.latest().inside.y; }},
          {"lon", "Longitude", lon_lat, [](const R& r) { return r.latest().lon_deg; }},
          {"lat", "Latitude", lon_lat, [](const R& r) { return r.latest().lat_deg; }},
          {"exposure_before", "Exposure before", of_100, [](const R& r) { return r.was.exposure; },
           "as the runs have them"},
          {"exposure_after", "Exposure after", of_100, [](const R& r) { return r.is.exposure; }},
          {"exposure_change", "Change of exposure", points,
           [](const R& r) { return r.change.exposure.change; }},
          {"change_by_fuel", "Change by fuel", points,
           [](const R& r) { return r.change.exposure.by_fuel; },
           "the part of the change due to conifers: gained less lost, on ground mapped at both "
           "dates, times what a square metre counts in rings of that ground"},
          {"change_otherwise", "Change otherwise", points,
           [](const R& r) { return r.change.exposure.otherwise(); },
           "the rest: ground that one date does not know, a redrawn outline, other slopes; 0 if "
           "there is none of these. Log and page give its sum separately: it is not a change of "
           "conifers"},
          {"rank_before", "Rank before", none, [](const R& r) { return r.was.rank; },
           "each among the structures of its run; no change, and a warning, if the runs ranked by "
           "different values (`output.rank_by`)"},
          {"rank_after", "Rank after", none, [](const R& r) { return r.is.rank; }},
          {"rank_change", "Rank change", none, rank_change},
          {"nearest_conifer_before_m", "Nearest conifer before", m,
           [](const R& r) { return r.was.nearest_conifer_m; }, "from the wall"},
          {"nearest_conifer_after_m", "Nearest conifer after", m,
           [](const R& r) { return r.is.nearest_conifer_m; }}}},
        {rings,
         {{"removed_m2_{}", "Removed {}", m2, ring_m2<&Area::removed_m2>,
           "in ring L around this structure alone"},
          {"regrown_m2_{}", "Regrown {}", m2, ring_m2<&Area::regrown_m2>},
          {"unchanged_m2_{}", "Unchanged {}", m2, ring_m2<&Area::unchanged_m2>},
          {"not_compared_m2_{}", "Not compared {}", m2, ring_m2<not_compared_m2>}}},
    });
}

Labels rings_of(const ChangeTables& tables)
{
    return RunLabels{tables.rings.plan, 0}.rings;
}

/// Texts of the addresses by structure, in the order of the table.
std::vector<std::vector<std::string>> addresses_of(const PastTables& tables)
{
    std::vector<std::vector<std::string>> texts(tables.structures.size());
    for (const PastAddress& a : tables.addresses)
        texts[a.structure].push_back(a.text);
    return texts;
}

auto area_rows(const ChangeTables& tables)
{
    return [&tables](std::size_t k) { return AreaRow{tables, tables.rows[k]}; };
}

} // namespace

void write_change_csv(const std::filesystem::path& path, const ChangeTables& tables, bool bom)
{
    write_csv(path, area_columns(), tables.rows.size(), area_rows(tables), bom);
}

void write_changed_addresses_csv(const std::filesystem::path& path, const ChangeTables& tables,
                                 bool bom)
{
    const std::vector<Column<ChangedHome>> columns = home_columns(rings_of(tables), true);
    CsvTable csv{path, heads_of(columns), bom};
    const auto before = addresses_of(tables.before);
    const auto after = addresses_of(tables.after);
    // An address goes with its structure of today; that of a structure that is gone is the earlier
    // run's.
    for (const StructureChange& change : tables.structures)
        for (const std::string& text :
             change.match.after ? after[*change.match.after] : before[*change.match.before])
            csv.add_row(values_of(columns, ChangedHome{change, tables, text}));
    csv.finish();
}

void write_change_geopackage(const std::filesystem::path& path, const ChangeTables& tables)
{
    GpkgFile file{path, tables.crs};
    const auto home = [&tables](std::size_t k) {
        return ChangedHome{tables.structures[k], tables};
    };
    add_layer(file, "change_structures", GpkgFile::Shape::multipolygon,
              home_columns(rings_of(tables), false), tables.structures.size(), home,
              [&](std::size_t k) {
                  const Structure& s = home(k).latest();
                  return wkb_multipolygon(s.footprint, s.frame, tables.grid.at_scale(s.map_scale));
              });
    add_layer(file, "change_areas", GpkgFile::Shape::multipolygon, area_columns(),
              tables.rows.size(), area_rows(tables), [](std::size_t) { return std::string{}; });
    if (tables.treatment)
        add_treatment_records(file, *tables.treatment, tables.rings.plan, tables.grid);
    file.finish();
}

std::vector<FileColumns> comparison_tables()
{
    return {{"change.csv", heads_of(area_columns())},
            {"change_by_address.csv", heads_of(home_columns({{"L", "L"}}, true))},
            {"treatment_records.csv", treatment_record_heads()}};
}

} // namespace fuelring
