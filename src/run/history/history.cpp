// SPDX-License-Identifier: Apache-2.0

// The history of a community is a file of the set, carried from one set to the next. Its columns
// are the same whatever the rings are, so that rows of different years stand in one table; the
// column `method` tells which of them may be compared. What cannot be read as our own is a
// person's work or a damaged disk, and no reason to stop: it is kept under another name, and said.
#include "run/history/history.hpp"

#include "base/csv_reader.hpp"
#include "base/program/csv_writer.hpp"
#include "base/program/digest.hpp"
#include "io/tables/csv_table.hpp"
#include "run/history/method.hpp"
#include "run/publish/publish_set.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
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

/// Numbers are texts of digits already: rows of earlier runs are carried on as they are.
const std::vector<CsvTable::Heading> columns = {
    {"finished", Type::text},
    {"generation", Type::integer},
    {"imagery_date", Type::text},
    {"fuelring", Type::text},
    {"method", Type::text},
    {"near_m", Type::real},
    {"neighbourhood", Type::text},
    {"structures", Type::integer},
    {"structures_measured", Type::integer},
    {"structures_known_near", Type::integer},
    {"structures_near", Type::integer},
    {"mean_exposure", Type::real},
    {"p90_exposure", Type::real},
    {"sum_exposure", Type::real},
    {"conifer_ha_near", Type::real},
};
constexpr std::size_t finished_column = 0, generation_column = 1;

bool is_number(const std::string& cell, Type type)
{
    return type == Type::integer ? number_in<std::int64_t>(cell).has_value()
                                 : number_in<double>(cell).has_value();
}

bool is_ours(const std::vector<Record>& records)
{
    const auto heading_is_ours = [](const Record& heading) {
        return std::equal(
            heading.begin(), heading.end(), columns.begin(), columns.end(),
            [](const std::string& cell, const CsvTable::Heading& c) { return cell == c.name; });
    };
    const auto row_is_ours = [](const Record& row) {
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

std::string number_text(const std::optional<double>& value, int decimals)
{
    std::string text;
    if (value)
        append_number(text, *value, decimals);
    return text;
}

Record row_of(const NeighbourhoodRow& row, std::int64_t generation, const nlohmann::json& manifest,
              std::size_t near_ring)
{
    const bool known = near_ring < row.conifer_ha_within.size();
    return {manifest.at("timings").at("finished").get<std::string>(),
            std::to_string(generation),
            manifest.at("imagery_date").get<std::string>(),
            manifest.at("program").at("fuelring").get<std::string>(),
            method_word(method_of(manifest)),
            fmt::format("{}", manifest.at("configuration").at("rings").at("near_m").get<double>()),
            row.name,
            std::to_string(row.structures),
            std::to_string(row.structures_measured),
            std::to_string(row.structures_known_near),
            std::to_string(row.structures_near),
            number_text(row.mean_exposure, decimals_of_exposure),
            number_text(row.p90_exposure, decimals_of_exposure),
            number_text(row.sum_exposure, decimals_of_exposure),
            known ? number_text(row.conifer_ha_within[near_ring], decimals_of_metres) : ""};
}

void add_record(CsvTable& csv, const Record& record)
{
    csv.add_row(std::vector<GpkgValue>(record.begin(), record.end()));
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
    CsvTable csv{folder / file_name, columns, output.csv_bom};
    for (std::size_t k = first_of_last_runs(rows, runs - 1); k < rows.size(); ++k)
        add_record(csv, rows[k]);
    for (const NeighbourhoodRow& row : neighbourhoods)
        add_record(csv, row_of(row, earlier.set.generation + 1, manifest, near_ring));
    csv.finish();
    return written;
}

} // namespace fuelring
