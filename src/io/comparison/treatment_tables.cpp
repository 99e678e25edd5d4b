// SPDX-License-Identifier: Apache-2.0

// The table of treatments: what was ordered, what the maps confirm, and what it cost. Areas are
// those within the widest distance and under no roof; sums run outwards and begin with the roof, so
// it is taken off as a ring is.
#include "io/comparison/treatment_tables.hpp"

#include "exposure/areas.hpp"
#include "io/geopackage/footprint_wkb.hpp"
#include "io/tables/address_table.hpp"
#include "io/tables/column.hpp"
#include "io/tables/csv_table.hpp"

#include <functional>

namespace fuelring {

namespace {

std::optional<double> per_ha(std::optional<double> money, double m2)
{
    return ratio(money, m2 / m2_per_ha, least_divisor::ha);
}

const char* scope_name(RecordGroup::Scope scope)
{
    switch (scope) {
    case RecordGroup::Scope::record:
        return "record";
    case RecordGroup::Scope::treatment:
        return "treatment";
    case RecordGroup::Scope::outside:
        return "outside_dates";
    case RecordGroup::Scope::total:
        return "total";
    }
    return "";
}

/// A row of the table: a group of records.
struct TreatedRow {
    const TreatmentAccount& account;
    const RecordGroup& group;
    const TreatedSum& sum;
    TreatmentRecord record{}; ///< where the group is one
    ChangeArea area{};        ///< within the widest distance, no roof inside
    std::optional<double> cost{};

    TreatedRow(const TreatmentAccount& a, std::size_t g)
        : account(a), group(a.records.groups[g]), sum(a.sums[g]), area(sum.within.back()),
          cost(cost_of(group, a.records))
    {
        area -= sum.within.front();
        if (group.scope == RecordGroup::Scope::record)
            record = a.records.records[group.records.front()];
    }
};

double unmapped_m2(const ChangeArea& area)
{
    return area.ground_m2() - area.compared_m2;
}

template <auto Area>
double treated_ha(const TreatedRow& row)
{
    return hectares(std::invoke(Area, row.area));
}

template <auto Area>
double ring_ha(const TreatedRow& row, std::size_t k)
{
    ChangeArea ring = row.sum.within[k + 1];
    ring -= row.sum.within[k];
    return hectares(std::invoke(Area, ring));
}

template <auto Area>
double owner_ha(const TreatedRow& row, std::size_t kind)
{
    const std::vector<ChangeArea>& all = row.sum.within_by_kind;
    // By distance and then by kind: the last kinds are those within the widest distance.
    ChangeArea area = all[all.size() - row.account.kinds.size() + kind];
    area -= all[kind]; // under roofs
    return hectares(std::invoke(Area, area));
}

/// Of the whole group, whatever the rings and owners.
ColumnGroup<TreatedRow> columns_of_group()
{
    using namespace unit;
    using R = TreatedRow;
    using Area = ChangeArea;
    return {
        when(true),
        {{"scope", "Scope", none, [](const R& r) { return scope_name(r.group.scope); },
          "scope: `record`: one polygon; `treatment`: all of one treatment, united; `total`: all, "
          "united; `outside_dates`: those dated before BEFORE's imagery or after AFTER's, which "
          "count in no sum. Ground that two records share is in each of them, and counts once in "
          "the rows of treatments and in the total"},
         {"record_id", "Record id", none, [](const R& r) { return r.record.id; }},
         {"date", "Date", none, [](const R& r) { return r.record.date; }},
         {"treatment", "Treatment", none, [](const R& r) { return r.group.name; }},
         {"records", "Records", none, [](const R& r) { return r.group.records.size(); },
          "how many"},
         {"structures", "Structures", none, [](const R& r) { return r.sum.structures; },
          "that reach a part of it"},
         {"polygon_ha", "Polygon", ha, [](const R& r) { return hectares(r.group.ground_m2); },
          "the polygon; the part within the widest distance of a structure and under no roof. The "
          "runs know nothing of the rest, and all further columns are about `ground_ha`"},
         {"ground_ha", "Ground", ha, treated_ha<&Area::ground_m2>},
         {"compared_ha", "Compared", ha, treated_ha<&Area::compared_m2>,
          "the part mapped at both dates"},
         {"conifer_before_ha", "Conifer before", ha, treated_ha<&Area::conifer_before_m2>,
          "on compared ground: conifers before; of them removed, and still there; conifers that "
          "came"},
         {"confirmed_ha", "Confirmed", ha, treated_ha<&Area::removed_m2>},
         {"still_standing_ha", "Still standing", ha, treated_ha<&Area::unchanged_m2>},
         {"regrown_ha", "Regrown", ha, treated_ha<&Area::regrown_m2>},
         {"unmapped_ha", "Unmapped", ha, treated_ha<unmapped_m2>, "the part that is not compared"},
         {"conifer_mapped_before_only_ha", "Conifer mapped before only", ha,
          treated_ha<&Area::before_only_conifer_m2>,
          "conifers before on ground that the later map does not know: neither confirmed nor "
          "refuted"},
         {"confirmed_frac", "Confirmed", share,
          [](const R& r) {
              return ratio(r.area.removed_m2, r.area.conifer_before_m2(), least_divisor::m2);
          },
          "`confirmed_ha` / `conifer_before_ha`"},
         {"exposure_points_removed", "Exposure removed", points,
          [](const R& r) { return r.sum.points_removed; },
          "percentage points of exposure, summed over structures, that the change of fuel inside "
          "removed. Exact, since exposure is linear in fuel. Empty if rings or weights of the "
          "runs differ"},
         {"cost", "Cost", money, &R::cost,
          "by `polygon_ha`, `confirmed_ha` and `exposure_points_removed`; empty if a record of "
          "the row names no cost, or if there is nothing to divide by"},
         {"cost_per_ha", "Cost per hectare", money,
          [](const R& r) { return per_ha(r.cost, r.group.ground_m2); }},
         {"cost_per_confirmed_ha", "Cost per confirmed hectare", money,
          [](const R& r) { return per_ha(r.cost, r.area.removed_m2); }},
         {"cost_per_point", "Cost per point", money, [](const R& r) {
              return ratio(r.cost, r.sum.points_removed.value_or(0), least_divisor::points);
          }}}};
}

std::vector<Column<TreatedRow>> record_columns(const Labels& rings, const Labels& owners)
{
    using namespace unit;
    using Area = ChangeArea;
    return laid_out<TreatedRow>({
        columns_of_group(),
        {rings,
         {{"ground_ha_{}", "Ground {}", ha, ring_ha<&Area::ground_m2>,
           "the same in ring L around any structure, nothing counted twice"},
          {"conifer_before_ha_{}", "Conifer before {}", ha, ring_ha<&Area::conifer_before_m2>},
          {"confirmed_ha_{}", "Confirmed {}", ha, ring_ha<&Area::removed_m2>},
          {"still_standing_ha_{}", "Still standing {}", ha, ring_ha<&Area::unchanged_m2>},
          {"unmapped_ha_{}", "Unmapped {}", ha, ring_ha<unmapped_m2>}}},
        {owners,
         {{"ground_ha_{}", "Ground {}", ha, owner_ha<&Area::ground_m2>,
           "the same by owner category, if AFTER had `[inputs.parcels]`"},
          {"confirmed_ha_{}", "Confirmed {}", ha, owner_ha<&Area::removed_m2>},
          {"still_standing_ha_{}", "Still standing {}", ha, owner_ha<&Area::unchanged_m2>}}},
    });
}

std::vector<Column<TreatedRow>> columns_of(const TreatmentAccount& account, const RingPlan& plan)
{
    Labels owners;
    for (const std::string& kind : account.kinds)
        owners.push_back(owner_label(kind));
    return record_columns(RunLabels{plan, 0}.rings, owners);
}

auto rows_of(const TreatmentAccount& account)
{
    return [&account](std::size_t g) { return TreatedRow{account, g}; };
}

} // namespace

std::optional<double> cost_of(const RecordGroup& group, const TreatmentRecords& records)
{
    if (group.records.empty())
        return std::nullopt;
    double sum = 0;
    for (const std::size_t r : group.records) {
        // A sum that leaves one out would be too low, and look like a price.
        if (!records.records[r].cost)
            return std::nullopt;
        sum += *records.records[r].cost;
    }
    return sum;
}

void write_treatment_records_csv(const std::filesystem::path& path, const TreatmentAccount& account,
                                 const RingPlan& plan, bool bom)
{
    write_csv(path, columns_of(account, plan), account.sums.size(), rows_of(account), bom);
}

void add_treatment_records(GpkgFile& file, const TreatmentAccount& account, const RingPlan& plan,
                           const Grid& grid)
{
    add_layer(file, "treatment_records", GpkgFile::Shape::multipolygon, columns_of(account, plan),
              account.sums.size(), rows_of(account), [&](std::size_t g) {
                  const RecordGroup& group = account.records.groups[g];
                  return group.scope == RecordGroup::Scope::record
                             ? wkb_multipolygon(group.ground, CellFrame{}, grid)
                             : std::string{};
              });
}

std::vector<ColumnHead> treatment_record_heads()
{
    return heads_of(record_columns({{"L", "L"}}, {{"CLASS", "CLASS"}}));
}

} // namespace fuelring
