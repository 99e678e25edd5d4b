// SPDX-License-Identifier: Apache-2.0

// The history of a community is a file of the set, carried from one set to the next. Its columns
// are the same whatever the rings are, so that rows of different years stand in one table; the
// column `method` tells which of them may be compared. What cannot be read as our own is a
// person's work or a damaged disk, and no reason to stop: it is kept under another name, and said.
#include "run/history/history.hpp"

#include "base/program/csv_records.hpp"
#include "base/program/csv_writer.hpp"
#include "base/program/digest.hpp"
#include "base/program/durable_file.hpp"
#include "io/tables/csvt.hpp"
#include "io/tables/table_columns.hpp"
#include "run/publish/publish_set.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
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

struct Column {
    std::string_view name;
    Type type;
};
constexpr std::array columns{Column{"finished", Type::text},
                             Column{"generation", Type::integer},
                             Column{"imagery_date", Type::text},
                             Column{"fuelring", Type::text},
                             Column{"method", Type::text},
                             Column{"near_m", Type::real},
                             Column{"neighbourhood", Type::text},
                             Column{"structures", Type::integer},
                             Column{"structures_measured", Type::integer},
                             Column{"structures_known_near", Type::integer},
                             Column{"structures_near", Type::integer},
                             Column{"mean_exposure", Type::real},
                             Column{"p90_exposure", Type::real},
                             Column{"sum_exposure", Type::real},
                             Column{"conifer_ha_near", Type::real}};
constexpr std::size_t finished_column = 0, generation_column = 1;

bool is_number(const std::string& cell, Type type)
{
    const char* const end = cell.data() + cell.size();
    std::int64_t whole = 0;
    double real = 0;
    const auto [stop, error] = type == Type::integer ? std::from_chars(cell.data(), end, whole)
                                                     : std::from_chars(cell.data(), end, real);
    return error == std::errc{} && stop == end;
}

bool is_ours(const std::vector<Record>& records)
{
    const auto heading_is_ours = [](const Record& heading) {
        return std::equal(heading.begin(), heading.end(), columns.begin(), columns.end(),
                          [](const std::string& cell, const Column& c) { return cell == c.name; });
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
std::vector<Record> earlier_rows(const EarlierSet& earlier, std::string& why_not)
{
    const auto listed = earlier.files.find(file_name);
    if (listed == earlier.files.end())
        return {}; // what bears the name is a user's, which the publication keeps
    const std::filesystem::path path = earlier.folder / file_name;
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
    std::optional<std::vector<Record>> records = csv_records(text);
    if (!records || !is_ours(*records)) {
        why_not = "its columns are not those of this version";
        return {};
    }
    records->erase(records->begin());
    return std::move(*records);
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
              const Config& config)
{
    const bool known = config.near_ring < row.conifer_ha_within.size();
    return {manifest.at("timings").at("finished").get<std::string>(),
            std::to_string(generation),
            config.fuel.date,
            manifest.at("program").at("fuelring").get<std::string>(),
            method_word(method_of(manifest)),
            fmt::format("{}", config.near_m),
            row.name,
            std::to_string(row.structures),
            std::to_string(row.structures_measured),
            std::to_string(row.structures_known_near),
            std::to_string(row.structures_near),
            number_text(row.mean_exposure, decimals_of_exposure),
            number_text(row.p90_exposure, decimals_of_exposure),
            number_text(row.sum_exposure, decimals_of_exposure),
            known ? number_text(row.conifer_ha_within[config.near_ring], decimals_of_metres) : ""};
}

void append_record(std::string& to, const Record& record)
{
    for (std::size_t k = 0; k < record.size(); ++k) {
        if (k > 0)
            to += ',';
        if (columns[k].type == Type::text)
            append_text_cell(to, record[k]);
        else
            to += record[k];
    }
    to += csv_line_end;
}

} // namespace

HistoryWritten write_history(const std::filesystem::path& folder, const EarlierSet& earlier,
                             const nlohmann::json& manifest,
                             const std::vector<NeighbourhoodRow>& neighbourhoods,
                             const Config& config)
{
    HistoryWritten written{{file_name, "history.csvt"}};
    const std::vector<Record> rows = earlier_rows(earlier, written.set_aside);
    const auto runs = static_cast<std::size_t>(config.history_runs);
    std::string text{config.csv_bom ? utf8_mark : std::string_view{}};
    for (std::size_t k = 0; k < columns.size(); ++k)
        text.append(k == 0 ? "" : ",").append(columns[k].name);
    text += csv_line_end;
    const std::size_t first = first_of_last_runs(rows, runs - 1);
    for (std::size_t k = first; k < rows.size(); ++k)
        append_record(text, rows[k]);
    for (const NeighbourhoodRow& row : neighbourhoods)
        append_record(text, row_of(row, earlier.generation + 1, manifest, config));
    write_durably(folder / file_name, text);
    require_csv_records(folder / file_name, 1 + rows.size() - first + neighbourhoods.size());
    std::vector<Type> types;
    for (const Column& column : columns)
        types.push_back(column.type);
    write_csvt(folder / file_name, types);
    return written;
}

} // namespace fuelring
