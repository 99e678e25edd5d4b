// SPDX-License-Identifier: Apache-2.0

// What changed since the last run, as changes.csv, in run.json and in a line for people.
#include "base/grouped.hpp"
#include "io/tables/csv_table.hpp"
#include "run/history/changes.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <string_view>

namespace fuelring {

namespace {

using What = ChangeOfStructure::What;
const char* word_of(What what)
{
    return what == What::gone ? "gone" : what == What::appeared ? "new" : "changed";
}

/// The addresses of structures, of this run and of the last.
class ChangedAddresses {
public:
    explicit ChangedAddresses(const RunTables& tables) : tables_(tables)
    {
        for (const AddressRow& row : tables.rows)
            if (row.address)
                addresses_.emplace_back(row.structure, *row.address);
        // By structure, and there in the order of addresses.csv.
        std::stable_sort(addresses_.begin(), addresses_.end(),
                         [](const auto& a, const auto& b) { return a.first < b.first; });
    }

    /// The addresses of a structure; one empty text where it has none.
    std::vector<std::string> addresses_of(const ChangeOfStructure& c,
                                          const SinceLastRun& since) const
    {
        std::vector<std::string> texts;
        if (c.what == What::gone) {
            texts = since.gone[c.structure].addresses;
        } else {
            auto at = std::lower_bound(
                addresses_.begin(), addresses_.end(), c.structure,
                [](const auto& entry, std::size_t structure) { return entry.first < structure; });
            for (; at != addresses_.end() && at->first == c.structure; ++at)
                texts.push_back(tables_.community.addresses[at->second].text);
        }
        if (texts.empty())
            texts.emplace_back();
        return texts;
    }

private:
    const RunTables& tables_;
    std::vector<std::pair<std::size_t, std::size_t>> addresses_;
};

/// A row of changes.csv: one address of a structure.
struct ChangeRow {
    const ChangeOfStructure& change;
    std::string address;
};

std::optional<std::int64_t> rank_change(const ChangeOfStructure& c)
{
    return c.before.rank && c.after.rank ? std::optional{*c.after.rank - *c.before.rank}
                                         : std::nullopt;
}

std::string neighbourhood_of(const ChangeOfStructure& c, const SinceLastRun& since,
                             const RunTables& tables)
{
    if (c.what == What::gone)
        return since.gone[c.structure].neighbourhood;
    const Structure& s = tables.community.structures[c.structure];
    return s.neighbourhood ? tables.community.neighbourhoods[*s.neighbourhood] : std::string{};
}

/// The columns refer to `since` and `tables`; `near` as "10m".
std::vector<Column<ChangeRow>> change_table(const SinceLastRun& since, const RunTables& tables,
                                            const std::string& near)
{
    using R = ChangeRow;
    const auto real = [](std::string name, int decimals, auto figure) {
        return real_column<R>(std::move(name), decimals,
                              [figure](const R& r) { return figure(r.change); });
    };
    const auto integer = [](std::string name, auto figure) {
        return integer_column<R>(std::move(name),
                                 [figure](const R& r) { return figure(r.change); });
    };
    using Change = ChangeOfStructure;
    return {text_column<R>("address", [](const R& r) { return r.address; }),
            text_column<R>(columns_of_run::structure_id,
                           [&](const R& r) {
                               return r.change.what == What::gone
                                          ? since.gone[r.change.structure].id
                                          : tables.community.structures[r.change.structure].id;
                           }),
            text_column<R>("neighbourhood",
                           [&](const R& r) { return neighbourhood_of(r.change, since, tables); }),
            text_column<R>("what", [](const R& r) { return word_of(r.change.what); }),
            real("exposure_before", decimals_of_exposure,
                 [](const Change& c) { return c.before.exposure; }),
            real("exposure_after", decimals_of_exposure,
                 [](const Change& c) { return c.after.exposure; }),
            real("exposure_change", decimals_of_exposure,
                 [](const Change& c) { return c.exposure_change(); }),
            integer("rank_before", [](const Change& c) { return c.before.rank; }),
            integer("rank_after", [](const Change& c) { return c.after.rank; }),
            integer("rank_change", rank_change),
            real("nearest_conifer_m_before", decimals_of_metres,
                 [](const Change& c) { return c.before.nearest_conifer_m; }),
            real("nearest_conifer_m_after", decimals_of_metres,
                 [](const Change& c) { return c.after.nearest_conifer_m; }),
            real("conifer_m2_within_" + near + "_before", decimals_of_metres,
                 [](const Change& c) { return c.before.near_conifer_m2; }),
            real("conifer_m2_within_" + near + "_after", decimals_of_metres,
                 [](const Change& c) { return c.after.near_conifer_m2; }),
            text_column<R>("notes", [near](const R& r) {
                return r.change.new_conifer    ? "new_conifer_within_" + near
                       : r.change.newly_mapped ? "newly_mapped_within_" + near
                                               : std::string{};
            })};
}

/// The structure that rose most; null where none did.
const ChangeOfStructure* largest_rise(const SinceLastRun& since)
{
    return !since.changes.empty() && since.changes.front().exposure_change().value_or(0) > 0
               ? &since.changes.front()
               : nullptr;
}

/// Structures of both runs that `known` measured and `unknown` did not: they neither rose nor fell.
std::int64_t measured_in_one(const SinceLastRun& since, ComparedFigures ChangeOfStructure::*known,
                             ComparedFigures ChangeOfStructure::*unknown)
{
    return std::count_if(
        since.changes.begin(), since.changes.end(), [&](const ChangeOfStructure& c) {
            return c.what == What::changed && (c.*known).exposure && !(c.*unknown).exposure;
        });
}

std::int64_t no_longer_measured(const SinceLastRun& since)
{
    return measured_in_one(since, &ChangeOfStructure::before, &ChangeOfStructure::after);
}

std::int64_t newly_measured(const SinceLastRun& since)
{
    return measured_in_one(since, &ChangeOfStructure::after, &ChangeOfStructure::before);
}

std::string plural(std::int64_t count, std::string_view one, std::string_view many)
{
    return fmt::format("{} {}", grouped(count), count == 1 ? one : many);
}

/// An address or id that cannot move the lines of a terminal.
std::string name_of_structure(const ChangeOfStructure& c, const SinceLastRun& since,
                              const RunTables& tables)
{
    std::string name = ChangedAddresses{tables}.addresses_of(c, since).front();
    if (name.empty())
        name = tables.community.structures[c.structure].id;
    std::replace_if(
        name.begin(), name.end(), [](unsigned char ch) { return ch < 0x20 || ch == 0x7F; }, '?');
    return name;
}

std::string what_changed(const SinceLastRun& since, const RunTables& tables, double near_m)
{
    if (since.changes.empty())
        return fmt::format("none of {} changed",
                           plural(since.structures, "structure", "structures"));
    std::string text =
        fmt::format("{} of {} changed: {} fell, {} rose", grouped(since.count(What::changed)),
                    plural(since.structures, "structure", "structures"), grouped(since.fell()),
                    grouped(since.rose()));
    if (const ChangeOfStructure* most = largest_rise(since))
        text += fmt::format(" (most: {:+.1f} at {})", *most->exposure_change(),
                            name_of_structure(*most, since, tables));
    if (const auto lost = no_longer_measured(since))
        text += fmt::format(", {} no longer measured", lost);
    if (const auto found = newly_measured(since))
        text += fmt::format(", {} newly measured", found);
    if (const auto appeared = since.count(What::appeared))
        text += fmt::format(", {} new", appeared);
    if (const auto gone = since.count(What::gone))
        text += fmt::format(", {} gone", gone);
    const std::int64_t with_new = since.with_new_conifer();
    return text + fmt::format("; {} new conifers within {:g} m",
                              with_new == 0   ? std::string{"none has"}
                              : with_new == 1 ? std::string{"1 has"}
                                              : fmt::format("{} have", grouped(with_new)),
                              near_m);
}

} // namespace

std::vector<std::string> write_changes(const std::filesystem::path& folder,
                                       const SinceLastRun& since, const RunTables& tables, bool bom)
{
    if (!since.compared)
        return {};
    const std::string near = within_label(tables.plan, tables.near_ring);
    const std::vector<Column<ChangeRow>> columns = change_table(since, tables, near);
    CsvTable csv{folder / "changes.csv", headings_of(columns), bom};
    const ChangedAddresses addresses{tables};
    for (const ChangeOfStructure& change : since.changes)
        for (std::string& address : addresses.addresses_of(change, since))
            csv.add_row(values_of(columns, ChangeRow{change, std::move(address)}));
    csv.finish();
    return {"changes.csv", "changes.csvt"};
}

nlohmann::json changes_json(const SinceLastRun& since, const RunTables& tables, double near_m)
{
    if (!since.why_not.empty())
        return {{"compared", false}, {"why_not", since.why_not}};
    if (!since.compared)
        return {};
    nlohmann::json object = {
        {"compared", true},
        {"since", since.since},
        {"configuration_changed", since.method_differs},
        {"structures", since.structures},
        {"changed", since.count(What::changed)},
        {"rose", since.rose()},
        {"fell", since.fell()},
        {"no_longer_measured", no_longer_measured(since)},
        {"newly_measured", newly_measured(since)},
        {"new", since.count(What::appeared)},
        {"gone", since.count(What::gone)},
        {fmt::format("new_conifer_within_{:g}m", near_m), since.with_new_conifer()},
        {"largest_rise", nullptr}};
    if (const ChangeOfStructure* most = largest_rise(since))
        object["largest_rise"] = {
            {columns_of_run::structure_id, tables.community.structures[most->structure].id},
            {"exposure_change", *most->exposure_change()}};
    return object;
}

void say_changes(const SinceLastRun& since, const RunTables& tables, double near_m, Log& log)
{
    if (!since.why_not.empty())
        log.warn("what changed since the last run is not known: " + since.why_not);
    if (!since.compared)
        return;
    std::string text =
        fmt::format("since the run of {}: {}", since.since.at("finished").get<std::string>(),
                    what_changed(since, tables, near_m));
    if (!since.method_differs.empty())
        text += fmt::format("; the configuration changed as well ({}): the two runs may not be "
                            "comparable",
                            fmt::join(since.method_differs, ", "));
    log.info(text);
}

bool something_changed(const nlohmann::json& summary)
{
    if (summary.value("nothing_changed", false) || !summary.contains("changes"))
        return false;
    const nlohmann::json& changes = summary.at("changes");
    if (!changes.is_object() || !changes.value("compared", false))
        return false;
    return changes.at("changed").get<std::int64_t>() + changes.at("new").get<std::int64_t>() +
               changes.at("gone").get<std::int64_t>() >
           0;
}

} // namespace fuelring
