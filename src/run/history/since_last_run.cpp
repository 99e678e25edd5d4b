// SPDX-License-Identifier: Apache-2.0

// What changed since the last run, as changes.csv, in run.json and in a line for people.
#include "base/grouped.hpp"
#include "base/program/csv_writer.hpp"
#include "base/program/durable_file.hpp"
#include "io/tables/csvt.hpp"
#include "io/tables/table_columns.hpp"
#include "run/history/changes.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <limits>
#include <string_view>

namespace fuelring {

namespace {

using What = ChangeOfStructure::What;
using FieldType = GpkgField::Type;

/// Bytes gathered before they are handed to the file.
constexpr std::size_t gathered_bytes = 1 << 20;

struct ChangesColumn {
    std::string name;
    FieldType type;
};

std::vector<ChangesColumn> columns_of(const std::string& near)
{
    return {{"address", FieldType::text},
            {"structure_id", FieldType::text},
            {"neighbourhood", FieldType::text},
            {"what", FieldType::text},
            {"exposure_before", FieldType::real},
            {"exposure_after", FieldType::real},
            {"exposure_change", FieldType::real},
            {"rank_before", FieldType::integer},
            {"rank_after", FieldType::integer},
            {"rank_change", FieldType::integer},
            {"nearest_conifer_m_before", FieldType::real},
            {"nearest_conifer_m_after", FieldType::real},
            {"conifer_m2_within_" + near + "_before", FieldType::real},
            {"conifer_m2_within_" + near + "_after", FieldType::real},
            {"notes", FieldType::text}};
}

const char* word_of(What what)
{
    return what == What::gone ? "gone" : what == What::appeared ? "new" : "changed";
}

/// Writes the rows; knows the addresses of structures.
class ChangeRows {
public:
    ChangeRows(const RunTables& tables, std::string near) : tables_(tables), near_(std::move(near))
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

    /// Appends a line for each address of the structure; the number of lines.
    std::size_t append(std::string& to, const ChangeOfStructure& c, const SinceLastRun& since) const
    {
        const std::vector<std::string> addresses = addresses_of(c, since);
        for (const std::string& address : addresses) {
            append_texts(to, c, since, address);
            append_figures(to, c);
            to += csv_line_end;
        }
        return addresses.size();
    }

private:
    void append_texts(std::string& to, const ChangeOfStructure& c, const SinceLastRun& since,
                      const std::string& address) const
    {
        const auto append_text = [&to](std::string_view text) {
            append_text_cell(to, text);
            to += ',';
        };
        append_text(address);
        if (c.what == What::gone) {
            append_text(since.gone[c.structure].id);
            append_text(since.gone[c.structure].neighbourhood);
        } else {
            const Structure& s = tables_.community.structures[c.structure];
            append_text(s.id);
            append_text(s.neighbourhood ? tables_.community.neighbourhoods[*s.neighbourhood]
                                        : std::string{});
        }
        append_text(word_of(c.what));
    }

    void append_figures(std::string& to, const ChangeOfStructure& c) const
    {
        const auto real = [&to](const std::optional<double>& value, int decimals) {
            append_number(to, value.value_or(std::numeric_limits<double>::quiet_NaN()), decimals);
            to += ',';
        };
        const auto whole = [&to](const std::optional<std::int64_t>& value) {
            if (value)
                to += std::to_string(*value);
            to += ',';
        };
        const ComparedFigures& before = c.before;
        const ComparedFigures& after = c.after;
        real(before.exposure, decimals_of_exposure);
        real(after.exposure, decimals_of_exposure);
        real(c.exposure_change(), decimals_of_exposure);
        whole(before.rank);
        whole(after.rank);
        whole(before.rank && after.rank ? std::optional{*after.rank - *before.rank} : std::nullopt);
        real(before.nearest_conifer_m, decimals_of_metres);
        real(after.nearest_conifer_m, decimals_of_metres);
        real(before.near_conifer_m2, decimals_of_metres);
        real(after.near_conifer_m2, decimals_of_metres);
        if (c.new_conifer)
            to += "new_conifer_within_" + near_;
        else if (c.newly_mapped)
            to += "newly_mapped_within_" + near_;
    }

    const RunTables& tables_;
    std::string near_; ///< "10m"
    std::vector<std::pair<std::size_t, std::size_t>> addresses_;
};

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
    std::string name = ChangeRows{tables, {}}.addresses_of(c, since).front();
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
                                       const SinceLastRun& since, const RunTables& tables,
                                       const Config& config)
{
    if (!since.compared)
        return {};
    const std::string near = within_label(tables.plan, tables.near_ring);
    const std::vector<ChangesColumn> columns = columns_of(near);
    std::string text{config.csv_bom ? utf8_mark : std::string_view{}};
    for (std::size_t k = 0; k < columns.size(); ++k)
        text.append(k == 0 ? "" : ",").append(columns[k].name);
    text += csv_line_end;
    const std::filesystem::path path = folder / "changes.csv";
    DurableFile file{path};
    const ChangeRows rows{tables, near};
    std::size_t lines = 1;
    for (const ChangeOfStructure& change : since.changes) {
        lines += rows.append(text, change, since);
        if (text.size() >= gathered_bytes) {
            file.write(text);
            text.clear();
        }
    }
    file.write(text);
    file.finish();
    require_csv_records(path, lines);
    std::vector<FieldType> types;
    for (const ChangesColumn& column : columns)
        types.push_back(column.type);
    write_csvt(path, types);
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
        object["largest_rise"] = {{"structure_id", tables.community.structures[most->structure].id},
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
