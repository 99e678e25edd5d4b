// SPDX-License-Identifier: Apache-2.0

// What changed since the last run, as changes.csv, in run.json and in a line for people.
#include "base/grouped.hpp"
#include "io/tables/csv_table.hpp"
#include "io/tables/run_labels.hpp"
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
struct ChangedRow {
    const ChangeOfStructure& change;
    const SinceLastRun& since;
    const RunTables& tables;
    std::string address{};

    /// Null for a structure that is gone.
    const Structure* structure() const
    {
        return change.what == What::gone ? nullptr : &tables.community.structures[change.structure];
    }
    const GoneStructure& gone() const { return since.gone[change.structure]; }
};

std::optional<std::int64_t> rank_change(const ChangedRow& r)
{
    const ComparedFigures &was = r.change.before, &is = r.change.after;
    return was.rank && is.rank ? std::optional{*is.rank - *was.rank} : std::nullopt;
}

std::string neighbourhood_of(const ChangedRow& r)
{
    if (!r.structure())
        return r.gone().neighbourhood;
    const auto& in = r.structure()->neighbourhood;
    return in ? r.tables.community.neighbourhoods[*in] : std::string{};
}

std::vector<Column<ChangedRow>> changed_columns(const Label& near)
{
    using namespace unit;
    using R = ChangedRow;
    return laid_out<R>(
        {{{near},
          {{"address", "Address", none, &R::address,
            "as in `addresses.csv`; for structures that are gone, as they were"},
           {columns_of_run::structure_id, "Structure", none,
            [](const R& r) { return r.structure() ? r.structure()->id : r.gone().id; }},
           {"neighbourhood", "Neighbourhood", none, neighbourhood_of},
           {"what", "What", none, [](const R& r) { return word_of(r.change.what); },
            "`changed`, `new` or `gone`"},
           {"exposure_before", "Exposure before", of_100,
            [](const R& r) { return r.change.before.exposure; },
            "later less earlier: a rise is positive"},
           {"exposure_after", "Exposure after", of_100,
            [](const R& r) { return r.change.after.exposure; }},
           {"exposure_change", "Change of exposure", points,
            [](const R& r) { return r.change.exposure_change(); }},
           {"rank_before", "Rank before", none, [](const R& r) { return r.change.before.rank; },
            "negative: moved towards the first. A rank that moved only because others changed "
            "makes no row"},
           {"rank_after", "Rank after", none, [](const R& r) { return r.change.after.rank; }},
           {"rank_change", "Rank change", none, rank_change},
           {"nearest_conifer_m_before", "Nearest conifer before", m,
            [](const R& r) { return r.change.before.nearest_conifer_m; },
            "empty when there is none within the widest ring"},
           {"nearest_conifer_m_after", "Nearest conifer after", m,
            [](const R& r) { return r.change.after.nearest_conifer_m; }},
           {"conifer_m2_within_{}_before", "Conifer within {} before", m2,
            [](const R& r) { return r.change.before.near_conifer_m2; },
            "conifers from the wall to N = `rings.near_m`; empty where a ring is unmapped or the "
            "earlier run had no such distance"},
           {"conifer_m2_within_{}_after", "Conifer within {} after", m2,
            [](const R& r) { return r.change.after.near_conifer_m2; }},
           {"notes", "Notes", none,
            [near = near.name](const R& r) {
                return r.change.new_conifer    ? "new_conifer_within_" + near
                       : r.change.newly_mapped ? "newly_mapped_within_" + near
                                               : std::string{};
            },
            "`new_conifer_within_Nm`: 0.1 m2 or more that were not there, on ground that the "
            "earlier run knew; `newly_mapped_within_Nm`: conifers on ground that it may not have "
            "known, such as a gap in its imagery"}}}});
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
    const std::vector<Column<ChangedRow>> columns = changed_columns(RunLabels{tables}.near.front());
    CsvTable csv{folder / "changes.csv", heads_of(columns), bom};
    const ChangedAddresses addresses{tables};
    for (const ChangeOfStructure& change : since.changes)
        for (std::string& address : addresses.addresses_of(change, since))
            csv.add_row(values_of(columns, ChangedRow{change, since, tables, std::move(address)}));
    csv.finish();
    return {"changes.csv", "changes.csvt"};
}

FileColumns changes_table()
{
    return {"changes.csv", heads_of(changed_columns({"Nm", "N"}))};
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
        text += fmt::format(
            "; the configuration changed as well ({}): the two runs may not be comparable",
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
