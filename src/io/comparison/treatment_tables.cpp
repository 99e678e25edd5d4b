// SPDX-License-Identifier: Apache-2.0
#include "io/comparison/treatment_tables.hpp"

#include "exposure/areas.hpp"
#include "io/geopackage/footprint_wkb.hpp"
#include "io/tables/address_table.hpp"

#include <algorithm>

namespace fuelring {

namespace {

constexpr int decimals_of_money = 2;

/// Less than this is rounding: nothing is divided by it.
constexpr double least_m2 = 1e-6;
constexpr double least_points = 1e-9;

using Type = GpkgField::Type;

std::optional<double> ratio(std::optional<double> money, double by, double least)
{
    return money && by > least ? std::optional{*money / by} : std::nullopt;
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

std::vector<PlainTable::Column> columns_of(const TreatmentAccount& account, const RingPlan& plan)
{
    std::vector<PlainTable::Column> columns{
        {"scope", Type::text},     {"record_id", Type::text},  {"date", Type::text},
        {"treatment", Type::text}, {"records", Type::integer}, {"structures", Type::integer}};
    const auto real = [&columns](std::string name, int decimals) {
        columns.push_back({std::move(name), Type::real, decimals});
    };
    for (const char* name :
         {"polygon_ha", "ground_ha", "compared_ha", "conifer_before_ha", "confirmed_ha",
          "still_standing_ha", "regrown_ha", "unmapped_ha", "conifer_mapped_before_only_ha"})
        real(name, decimals_of_hectares);
    real("confirmed_frac", decimals_of_fractions);
    real("exposure_points_removed", decimals_of_exposure);
    for (const char* name : {"cost", "cost_per_ha", "cost_per_confirmed_ha", "cost_per_point"})
        real(name, decimals_of_money);
    for (std::size_t k = 0; k < plan.outer_m.size(); ++k)
        for (const char* what : {"ground_ha_", "conifer_before_ha_", "confirmed_ha_",
                                 "still_standing_ha_", "unmapped_ha_"})
            real(what + ring_label(plan, k), decimals_of_hectares);
    for (const std::string& kind : account.kinds)
        for (const char* what : {"ground_ha_", "confirmed_ha_", "still_standing_ha_"})
            real(what + kind, decimals_of_hectares);
    return columns;
}

void add_rings(RowValues& values, const TreatedSum& sum)
{
    for (std::size_t k = 1; k < sum.within.size(); ++k) {
        ChangeArea ring = sum.within[k];
        ring -= sum.within[k - 1];
        for (const double m2 : {ring.ground_m2(), ring.conifer_before_m2(), ring.removed_m2,
                                ring.unchanged_m2, ring.ground_m2() - ring.compared_m2})
            values.number(hectares(m2));
    }
}

void add_owners(RowValues& values, const TreatedSum& sum, std::size_t kinds)
{
    for (std::size_t kind = 0; kind < kinds; ++kind) {
        ChangeArea area = sum.within_by_kind[sum.within_by_kind.size() - kinds + kind];
        area -= sum.within_by_kind[kind]; // under roofs
        for (const double m2 : {area.ground_m2(), area.removed_m2, area.unchanged_m2})
            values.number(hectares(m2));
    }
}

std::vector<GpkgValue> values_of(const RecordGroup& group, const TreatedSum& sum,
                                 const TreatmentAccount& account)
{
    const bool one = group.scope == RecordGroup::Scope::record;
    const TreatmentRecord none;
    const TreatmentRecord& first = one ? account.records.records[group.records.front()] : none;
    ChangeArea area = sum.within.back();
    area -= sum.within.front(); // under roofs
    const std::optional<double> cost = cost_of(group, account.records);
    RowValues values;
    values.text(scope_name(group.scope))
        .text(first.id)
        .text(first.date)
        .text(group.name)
        .count(static_cast<std::int64_t>(group.records.size()))
        .count(sum.structures)
        .number(hectares(group.ground_m2));
    for (const double m2 : {area.ground_m2(), area.compared_m2, area.conifer_before_m2(),
                            area.removed_m2, area.unchanged_m2, area.regrown_m2,
                            area.ground_m2() - area.compared_m2, area.before_only_conifer_m2})
        values.number(hectares(m2));
    values.number(ratio(area.removed_m2, area.conifer_before_m2(), least_m2))
        .number(sum.points_removed)
        .number(cost)
        .number(ratio(cost, group.ground_m2 / m2_per_ha, least_m2 / m2_per_ha))
        .number(ratio(cost, area.removed_m2 / m2_per_ha, least_m2 / m2_per_ha))
        .number(ratio(cost, sum.points_removed.value_or(0), least_points));
    add_rings(values, sum);
    add_owners(values, sum, account.kinds.size());
    return values.take();
}

} // namespace

std::optional<double> cost_of(const RecordGroup& group, const TreatmentRecords& records)
{
    if (group.records.empty())
        return std::nullopt;
    double sum = 0;
    for (const std::size_t r : group.records) {
        if (!records.records[r].cost)
            return std::nullopt;
        sum += *records.records[r].cost;
    }
    return sum;
}

PlainTable treatment_record_table(const TreatmentAccount& account, const RingPlan& plan,
                                  const Grid& grid)
{
    PlainTable table{columns_of(account, plan), {}};
    for (std::size_t g = 0; g < account.sums.size(); ++g) {
        const RecordGroup& group = account.records.groups[g];
        const bool shown = group.scope == RecordGroup::Scope::record;
        table.rows.push_back(
            {values_of(group, account.sums[g], account),
             shown ? wkb_multipolygon(group.ground, CellFrame{}, grid) : std::string{}});
    }
    return table;
}

} // namespace fuelring
