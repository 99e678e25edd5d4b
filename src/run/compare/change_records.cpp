// SPDX-License-Identifier: Apache-2.0

// Treatment records in a comparison: read on AFTER's grid, judged by the dates of both runs, summed
// up and put into words.

#include "base/grouped.hpp"
#include "base/program/digest.hpp"
#include "base/program/json_values.hpp"
#include "exposure/areas.hpp"
#include "run/compare/change_parts.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace fuelring {

namespace {

/// The group of what lies outside the dates; null where nothing does.
const RecordGroup* outside_of(const TreatmentRecords& records)
{
    const auto found =
        std::find_if(records.groups.begin(), records.groups.end(),
                     [](const RecordGroup& g) { return g.scope == RecordGroup::Scope::outside; });
    return found == records.groups.end() ? nullptr : &*found;
}

/// Says which records lie outside the time between the images.
void judge_dates(const TreatmentRecords& records, const DateSpan& dates,
                 std::vector<std::string>& notes)
{
    const RecordGroup* outside = outside_of(records);
    if (outside)
        notes.push_back(fmt::format(
            "{} of {} treatment records are dated before BEFORE's imagery ({}) or after AFTER's "
            "({}): the maps cannot show their work, and their {:.4f} ha are not in the sums",
            outside->records.size(), records.records.size(),
            dates.from.empty() ? "no day given" : dates.from,
            dates.until.empty() ? "no day given" : dates.until, outside->ground_m2 / m2_per_ha));
}

void judge_costs(const TreatmentRecords& records, std::vector<std::string>& notes)
{
    const auto without = std::count_if(records.records.begin(), records.records.end(),
                                       [](const TreatmentRecord& r) { return !r.cost; });
    if (without > 0 && without < static_cast<std::ptrdiff_t>(records.records.size()))
        notes.push_back(
            fmt::format("{} of {} treatment records have no cost: sums that include one "
                        "show no money",
                        without, records.records.size()));
}

/// Records inside the dates overlap where they cover more by themselves than together.
void judge_overlaps(const TreatmentRecords& records, std::vector<std::string>& notes)
{
    double apart_m2 = 0;
    for (const RecordGroup& group : records.groups)
        if (group.scope == RecordGroup::Scope::record &&
            !records.records[group.records.front()].outside_dates)
            apart_m2 += group.ground_m2;
    const double twice_m2 = apart_m2 - records.groups.back().ground_m2;
    if (twice_m2 > 1)
        notes.push_back(fmt::format("treatment records overlap on {:.4f} ha: each record has all "
                                    "of its ground, rows of treatments and the total count it once",
                                    twice_m2 / m2_per_ha));
}

ChangeArea outside_roofs(const TreatedSum& sum)
{
    ChangeArea area = sum.within.back();
    area -= sum.within.front();
    return area;
}

nlohmann::json json_of(const TreatmentAccount& account, std::size_t g)
{
    const RecordGroup& group = account.records.groups[g];
    const TreatedSum& sum = account.sums[g];
    const ChangeArea area = outside_roofs(sum);
    return {{"records", group.records.size()},
            {"treatment", group.name},
            {"structures", sum.structures},
            {"polygon_ha", group.ground_m2 / m2_per_ha},
            {"ground_ha", area.ground_m2() / m2_per_ha},
            {"compared_ha", area.compared_m2 / m2_per_ha},
            {"conifer_before_ha", area.conifer_before_m2() / m2_per_ha},
            {"confirmed_ha", area.removed_m2 / m2_per_ha},
            {"still_standing_ha", area.unchanged_m2 / m2_per_ha},
            {"unmapped_ha", (area.ground_m2() - area.compared_m2) / m2_per_ha},
            {"exposure_points_removed", or_null(sum.points_removed)},
            {"cost", or_null(cost_of(group, account.records))}};
}

} // namespace

std::string imagery_day(const RunFolder& run)
{
    const std::string date = run.manifest.value("imagery_date", std::string{});
    return is_day(date) ? date : std::string{};
}

TreatmentRecords records_between(const RecordSource& source, const RunFolder& before,
                                 const RunFolder& after, std::vector<std::string>& notes)
{
    Warnings warnings;
    const DateSpan dates{imagery_day(before), imagery_day(after)};
    TreatmentRecords records = read_treatment_records(source, dates, after.analysis, warnings);
    for (const Warning& w : warnings)
        notes.push_back(w.text);
    judge_dates(records, dates, notes);
    judge_costs(records, notes);
    judge_overlaps(records, notes);
    return records;
}

TreatmentAccount account_of_records(TreatmentRecords records,
                                    const std::vector<ChangeMember>& members,
                                    const std::vector<OutlineChange>& changes,
                                    const CommonRings& rings, std::vector<std::string> kinds,
                                    std::vector<ChangeRow>& rows)
{
    TreatmentAccount account{std::move(records), {}, std::move(kinds)};
    account.sums =
        treated_sums(members, changes, rings, account.records.groups.size(), account.kinds.size());
    for (std::size_t g = 0; g < account.sums.size(); ++g) {
        const RecordGroup& group = account.records.groups[g];
        if (group.scope != RecordGroup::Scope::total &&
            group.scope != RecordGroup::Scope::treatment)
            continue;
        const std::string name =
            group.scope == RecordGroup::Scope::total ? all_treatments : group.name;
        const std::vector<ChangeRow> of_group = treated_rows(name, account.sums[g]);
        rows.insert(rows.end(), of_group.begin(), of_group.end());
    }
    return account;
}

nlohmann::json records_json(const TreatmentAccount& account, const RecordSource& source)
{
    nlohmann::json object = {{"path", source.path},
                             {"sha256", digest_of(source.path).sha256},
                             {"total", json_of(account, account.sums.size() - 1)},
                             {"by_treatment", nlohmann::json::array()}};
    for (std::size_t g = 0; g < account.sums.size(); ++g)
        if (account.records.groups[g].scope == RecordGroup::Scope::treatment)
            object["by_treatment"].push_back(json_of(account, g));
        else if (account.records.groups[g].scope == RecordGroup::Scope::outside)
            object["outside_dates"] = json_of(account, g);
    return object;
}

std::string records_note(const TreatmentAccount& account, double widest_m,
                         const ChangeCauses& causes, const std::optional<std::string>& currency)
{
    const RecordGroup& total = account.records.groups.back();
    const TreatedSum& sum = account.sums.back();
    const ChangeArea area = outside_roofs(sum);
    const std::optional<double> cost = cost_of(total, account.records);
    std::string note = fmt::format(
        "The treatment records list {} areas totalling {:.2f} ha, {:.2f} ha of it within {:g} m of "
        "a building. Of {:.2f} ha of conifers mapped there before, the later {} {:.2f} ha as "
        "removed{} and {:.2f} ha as still standing; {:.2f} ha are unmapped in either year.",
        total.records.size(), total.ground_m2 / m2_per_ha, area.ground_m2() / m2_per_ha, widest_m,
        area.conifer_before_m2() / m2_per_ha, causes.same_raster ? "run has" : "map shows",
        area.removed_m2 / m2_per_ha,
        causes.same_raster ? ", none of which the imagery shows,"
        : causes.by_hand() ? ", in part perhaps by corrections entered by hand,"
                           : "",
        area.unchanged_m2 / m2_per_ha, (area.ground_m2() - area.compared_m2) / m2_per_ha);
    if (sum.points_removed)
        note += fmt::format(" Changes inside these areas lowered total exposure by {} points.",
                            grouped_tenths(*sum.points_removed));
    if (const RecordGroup* outside = outside_of(account.records))
        note += fmt::format(" {} more, of {:.2f} ha, are dated outside the time between the two "
                            "images and are not counted here.",
                            outside->records.size(), outside->ground_m2 / m2_per_ha);
    if (cost && currency)
        note += fmt::format(" Their cost is {} as recorded.", grouped_money(*cost, *currency));
    return note;
}

} // namespace fuelring
