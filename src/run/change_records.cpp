// SPDX-License-Identifier: Apache-2.0

// Treatment records in a comparison: read on AFTER's grid, judged by the dates of both runs, summed
// up and put into words.

#include "exposure/areas.hpp"
#include "io/digest.hpp"
#include "run/change_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>

namespace fuelring {

namespace {

/// YYYY-MM-DD, whose order is that of time.
bool is_day(const std::string& text)
{
    constexpr std::string_view shape{"dddd-dd-dd"};
    return text.size() == shape.size() &&
           std::equal(text.begin(), text.end(), shape.begin(), [](char c, char form) {
               return form == 'd' ? std::isdigit(static_cast<unsigned char>(c)) != 0 : c == form;
           });
}

std::string imagery_day(const RunFolder& run)
{
    const std::string date = run.manifest.value("imagery_date", std::string{});
    return is_day(date) ? date : std::string{};
}

/// Says which records lie outside the time between the images.
void judge_dates(const TreatmentRecords& records, const RunFolder& before, const RunFolder& after,
                 std::vector<std::string>& notes)
{
    const std::string from = imagery_day(before);
    const std::string until = imagery_day(after);
    const auto outside = std::count_if(
        records.records.begin(), records.records.end(), [&](const TreatmentRecord& r) {
            return is_day(r.date) &&
                   ((!from.empty() && r.date < from) || (!until.empty() && r.date > until));
        });
    if (outside > 0)
        notes.push_back(fmt::format("{} of {} treatment records are dated before BEFORE's imagery "
                                    "({}) or after AFTER's ({}): the maps cannot show their work",
                                    outside, records.records.size(),
                                    from.empty() ? "no day given" : from,
                                    until.empty() ? "no day given" : until));
}

void judge_costs(const TreatmentRecords& records, std::vector<std::string>& notes)
{
    const auto without = std::count_if(records.records.begin(), records.records.end(),
                                       [](const TreatmentRecord& r) { return !r.cost; });
    if (without > 0 && without < static_cast<std::ptrdiff_t>(records.records.size()))
        notes.push_back(fmt::format("{} of {} treatment records name no cost: sums that hold one "
                                    "have no figures of money",
                                    without, records.records.size()));
}

/// Records overlap where they cover more by themselves than together.
void judge_overlaps(const TreatmentRecords& records, std::vector<std::string>& notes)
{
    double apart_m2 = 0;
    for (const RecordGroup& group : records.groups)
        if (group.scope == RecordGroup::Scope::record)
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
    const auto maybe = [](std::optional<double> v) {
        return v ? nlohmann::json(*v) : nlohmann::json();
    };
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
            {"exposure_points_removed", maybe(sum.points_removed)},
            {"cost", maybe(cost_of(group, account.records))}};
}

} // namespace

TreatmentRecords records_between(const RecordSource& source, const RunFolder& before,
                                 const RunFolder& after, std::vector<std::string>& notes)
{
    Warnings warnings;
    TreatmentRecords records = read_treatment_records(source, after.analysis, warnings);
    for (const Warning& w : warnings)
        notes.push_back(w.text);
    judge_dates(records, before, after, notes);
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
        if (group.scope == RecordGroup::Scope::record)
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
    return object;
}

std::string records_note(const TreatmentAccount& account)
{
    const RecordGroup& total = account.records.groups.back();
    const TreatedSum& sum = account.sums.back();
    const ChangeArea area = outside_roofs(sum);
    const std::optional<double> cost = cost_of(total, account.records);
    std::string note = fmt::format(
        "The treatment records hold {} polygons of {:.2f} ha together, {:.2f} ha of it within the "
        "widest distance of a structure. Of {:.2f} ha of conifers mapped there before, the later "
        "map confirms {:.2f} ha as removed and shows {:.2f} ha as still standing; {:.2f} ha are "
        "not mapped at both dates.",
        total.records.size(), total.ground_m2 / m2_per_ha, area.ground_m2() / m2_per_ha,
        area.conifer_before_m2() / m2_per_ha, area.removed_m2 / m2_per_ha,
        area.unchanged_m2 / m2_per_ha, (area.ground_m2() - area.compared_m2) / m2_per_ha);
    if (sum.points_removed)
        note += fmt::format(" Change inside them took {:.1f} percentage points off the summed "
                            "exposure of the structures.",
                            *sum.points_removed);
    if (cost)
        note += fmt::format(" Their cost is {:.2f} as recorded.", *cost);
    return note;
}

} // namespace fuelring
