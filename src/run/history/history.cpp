// SPDX-License-Identifier: Apache-2.0

// The history of a community is a file of the set, carried from one set to the next. Its columns
// are the same whatever the rings are, so that rows of different years stand in one table; the
// column `method` tells which of them may be compared. What cannot be read as our own is a
// person's work or a damaged disk, and no reason to stop: it is kept under another name, and said.
#include "run/history/history.hpp"

#include "base/csv_reader.hpp"
#include "base/program/digest.hpp"
#include "io/tables/csv_table.hpp"
#include "run/history/method.hpp"
#include "run/publish/publish_set.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <fstream>
#include <iterator>
#include <optional>
#include <string_view>
#include <system_error>

namespace fuelring {

namespace {

using Type = GpkgField::Type;
using Record = std::vector<std::string>;

constexpr const char* file_name = "history.csv";
constexpr std::uintmax_t most_bytes = 256U << 20;

/// A neighbourhood in this run.
struct HistoryRow {
    const NeighbourhoodRow& row;
    std::int64_t generation;
    const nlohmann::json& manifest;
    std::size_t near_ring;
};

std::optional<double> conifer_ha_near(const HistoryRow& r)
{
    const auto& known = r.row.conifer_ha_within;
    return r.near_ring < known.size() ? known[r.near_ring] : std::nullopt;
}

/// Rows of earlier runs are carried on as they are: their numbers are texts of digits already.
std::vector<Column<HistoryRow>> history_columns()
{
    using namespace unit;
    using R = HistoryRow;
    return {
        {"finished", "Finished", none,
         [](const R& r) { return r.manifest.at("timings").at("finished").get<std::string>(); },
         "time and number of the run"},
        {"generation", "Generation", none, &R::generation},
        {"imagery_date", "Date of the imagery", none,
         [](const R& r) { return r.manifest.at("imagery_date").get<std::string>(); },
         "`inputs.fuel.date`"},
        {"fuelring", "Fuelring", none,
         [](const R& r) { return r.manifest.at("program").at("fuelring").get<std::string>(); },
         "version of the program"},
        {"method", "Method", none, [](const R& r) { return method_word(method_of(r.manifest)); },
         "a digest of everything that decides what a value means ([below](#comparing-rows))"},
        {"near_m", "Near distance", m,
         [](const R& r) {
             return Digits{fmt::format(
                 "{}", r.manifest.at("configuration").at("rings").at("near_m").get<double>())};
         },
         "`rings.near_m` of that run"},
        {"neighbourhood", "Neighbourhood", none, [](const R& r) { return r.row.name; },
         "as in `neighbourhoods.csv`"},
        {"structures", "Structures", none, [](const R& r) { return r.row.structures; }},
        {"structures_measured", "Structures measured", none,
         [](const R& r) { return r.row.structures_measured; }},
        {"structures_known_near", "Structures known near", none,
         [](const R& r) { return r.row.structures_known_near; },
         "known, and with conifers, within `near_m`"},
        {"structures_near", "Structures near conifers", none,
         [](const R& r) { return r.row.structures_near; }},
        {"mean_exposure", "Mean exposure", of_100, [](const R& r) { return r.row.mean_exposure; },
         "as in `neighbourhoods.csv`"},
        {"p90_exposure", "P90 exposure", of_100, [](const R& r) { return r.row.p90_exposure; }},
        {"sum_exposure", "Summed exposure", points, [](const R& r) { return r.row.sum_exposure; }},
        {"conifer_ha_near", "Conifer near", neighbourhood_ha, conifer_ha_near,
         "conifers within `near_m`"}};
}
constexpr std::size_t finished_column = 0, generation_column = 1;

bool is_number(const std::string& cell, Type type)
{
    return type == Type::integer ? number_in<std::int64_t>(cell).has_value()
                                 : number_in<double>(cell).has_value();
}

bool is_ours(const std::vector<Record>& records)
{
    const std::vector<ColumnHead> columns = heads_of(history_columns());
    const auto heading_is_ours = [&columns](const Record& heading) {
        return std::equal(
            heading.begin(), heading.end(), columns.begin(), columns.end(),
            [](const std::string& cell, const ColumnHead& c) { return cell == c.name; });
    };
    const auto row_is_ours = [&columns](const Record& row) {
        for (std::size_t k = 0; k < columns.size(); ++k)
            if (columns[k].type != Type::text && !row[k].empty() &&
                !is_number(row[k], columns[k].type))
                return false;
        return !row[finished_column].empty() && !row[generation_column].empty();
    };
    return !records.empty() && heading_is_ours(records.front()) &&
           std::all_of(records.begin() + 1, records.end(), row_is_ours);
}

/// Rows of the earlier set's history; none where there is none, or where `why_not` is set.
std::vector<Record> earlier_rows(const PreviousRun& earlier, std::string& why_not)
{
    const auto listed = earlier.set.files.find(file_name);
    if (listed == earlier.set.files.end())
        return {}; // what bears the name is a user's, which the publication keeps
    const std::filesystem::path path = earlier.path / file_name;
    std::error_code error;
    if (!std::filesystem::is_regular_file(path, error)) {
        why_not = "it is missing";
        return {};
    }
    if (std::filesystem::file_size(path, error) > most_bytes || error) {
        why_not = "it is too large";
        return {};
    }
    std::ifstream file{path, std::ios::binary};
    const std::string text{std::istreambuf_iterator<char>{file}, {}};
    if (digest_of_bytes(text).sha256 != listed->second.sha256) {
        why_not = "it was changed since it was written";
        return {};
    }
    std::vector<Record> records;
    try {
        CsvReader csv{text, CsvStyle::by_fuelring, path};
        while (csv.next())
            records.push_back(csv.cells());
    } catch (const Error&) { // is_ours says so
        records.clear();
    }
    if (!is_ours(records)) {
        why_not = "its columns are not those of this version";
        return {};
    }
    records.erase(records.begin());
    return records;
}

/// Where the last `runs` runs begin.
std::size_t first_of_last_runs(const std::vector<Record>& rows, std::size_t runs)
{
    std::size_t at = rows.size();
    for (std::size_t seen = 0; at > 0; --at) {
        const bool another = at == rows.size() ||
                             rows[at - 1][finished_column] != rows[at][finished_column] ||
                             rows[at - 1][generation_column] != rows[at][generation_column];
        if (another && ++seen > runs)
            break;
    }
    return at;
}

} // namespace

HistoryWritten write_history(const std::filesystem::path& folder, const PreviousRun& earlier,
                             const nlohmann::json& manifest,
                             const std::vector<NeighbourhoodRow>& neighbourhoods,
                             std::size_t near_ring, const OutputSettings& output)
{
    HistoryWritten written{{file_name, "history.csvt"}};
    const std::vector<Record> rows = earlier_rows(earlier, written.set_aside);
    const auto runs = static_cast<std::size_t>(output.history_runs);
    const std::vector<Column<HistoryRow>> columns = history_columns();
    CsvTable csv{folder / file_name, heads_of(columns), output.csv_bom};
    for (std::size_t k = first_of_last_runs(rows, runs - 1); k < rows.size(); ++k)
        csv.add_row(std::vector<GpkgValue>(rows[k].begin(), rows[k].end()));
    for (const NeighbourhoodRow& row : neighbourhoods)
        csv.add_row(values_of(columns, {row, earlier.set.generation + 1, manifest, near_ring}));
    csv.finish();
    return written;
}

FileColumns history_table()
{
    return {file_name, heads_of(history_columns())};
}

} // namespace fuelring
