// SPDX-License-Identifier: Apache-2.0
#include "support/read_outputs.hpp"

#include "io/gdal/handles.hpp"
#include "support/temp_folder.hpp"

#include <fmt/format.h>
#include <gdal.h>
#include <sqlite3.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <memory>
#include <stdexcept>

namespace fuelring::test {

namespace {

struct DatabaseClose {
    void operator()(sqlite3* db) const noexcept { sqlite3_close(db); }
};
struct StatementFinalize {
    void operator()(sqlite3_stmt* s) const noexcept { sqlite3_finalize(s); }
};

std::string bytes_of(sqlite3_stmt* statement, int column)
{
    const void* const bytes = sqlite3_column_blob(statement, column);
    const auto size = static_cast<std::size_t>(sqlite3_column_bytes(statement, column));
    return bytes ? std::string(static_cast<const char*>(bytes), size) : std::string{};
}

SqlCell cell_of(sqlite3_stmt* statement, int column)
{
    switch (sqlite3_column_type(statement, column)) {
    case SQLITE_NULL:
        return {};
    case SQLITE_INTEGER:
    case SQLITE_FLOAT:
        return {sqlite3_column_double(statement, column), {}};
    default:
        return {{}, bytes_of(statement, column)};
    }
}

std::string in_full(const SqlCell& cell)
{
    if (cell.number)
        return fmt::format("{:a}", *cell.number);
    return cell.text ? "'" + *cell.text + "'" : "null";
}

/// Takes one cell from `text` at `at`; leaves `at` behind it, on the comma or the line's end.
std::string take_cell(std::string_view text, std::size_t& at)
{
    std::string cell;
    if (at < text.size() && text[at] == '"') {
        for (++at;; ++at) {
            if (at >= text.size())
                throw std::runtime_error{"a quoted cell does not end"};
            if (text[at] == '"' && !(at + 1 < text.size() && text[at + 1] == '"'))
                break;
            at += text[at] == '"' ? 1 : 0;
            cell += text[at];
        }
        ++at;
    } else {
        const std::size_t end = std::min(text.find_first_of(",\r\n\"", at), text.size());
        cell = text.substr(at, end - at);
        at = end;
    }
    return cell;
}

std::vector<std::string> take_line(std::string_view text, std::size_t& at)
{
    std::vector<std::string> cells{take_cell(text, at)};
    while (at < text.size() && text[at] == ',') {
        ++at;
        cells.push_back(take_cell(text, at));
    }
    if (text.substr(at, 2) != "\r\n")
        throw std::runtime_error{fmt::format("no CRLF at byte {}", at)};
    at += 2;
    return cells;
}

} // namespace

double Band::sum() const
{
    double total = 0;
    for (const float cell : cells)
        total += std::isnan(cell) ? 0 : static_cast<double>(cell);
    return total;
}

bool Band::same_cells(const Band& other) const
{
    return cols == other.cols && rows == other.rows &&
           std::memcmp(cells.data(), other.cells.data(), cells.size() * sizeof(float)) == 0;
}

Band read_band(const std::filesystem::path& file, int band)
{
    GDALAllRegister();
    const DatasetPtr data{GDALOpen(file.c_str(), GA_ReadOnly)};
    if (!data)
        throw std::runtime_error{"GDAL does not open " + file.string()};
    Band read{GDALGetRasterXSize(data.get()), GDALGetRasterYSize(data.get()), {}, {}};
    GDALGetGeoTransform(data.get(), read.transform.data());
    read.cells.resize(static_cast<std::size_t>(read.cols * read.rows));
    const int cols = static_cast<int>(read.cols);
    const int rows = static_cast<int>(read.rows);
    if (GDALRasterIO(GDALGetRasterBand(data.get(), band), GF_Read, 0, 0, cols, rows,
                     read.cells.data(), cols, rows, GDT_Float32, 0, 0) != CE_None)
        throw std::runtime_error{"GDAL does not read " + file.string()};
    return read;
}

std::size_t Csv::column(std::string_view name) const
{
    const auto found = std::find(header.begin(), header.end(), name);
    if (found == header.end())
        throw std::runtime_error{fmt::format("no column {}", name)};
    return static_cast<std::size_t>(found - header.begin());
}

Csv read_csv(const std::filesystem::path& file)
{
    const std::string text = text_of(file);
    std::size_t at = text.starts_with("\xEF\xBB\xBF") ? 3 : 0;
    Csv csv{take_line(text, at), {}};
    while (at < text.size()) {
        csv.rows.push_back(take_line(text, at));
        if (csv.rows.back().size() != csv.header.size())
            throw std::runtime_error{
                fmt::format("row {} is not as long as the header", csv.rows.size())};
    }
    return csv;
}

std::vector<SqlRow> sql(const std::filesystem::path& file, const std::string& query)
{
    sqlite3* db_handle = nullptr;
    const int opened = sqlite3_open_v2(file.c_str(), &db_handle, SQLITE_OPEN_READONLY, nullptr);
    const std::unique_ptr<sqlite3, DatabaseClose> db{db_handle};
    sqlite3_stmt* handle = nullptr;
    if (opened != SQLITE_OK ||
        sqlite3_prepare_v2(db.get(), query.c_str(), -1, &handle, nullptr) != SQLITE_OK)
        throw std::runtime_error{query + ": " + sqlite3_errmsg(db.get())};
    const std::unique_ptr<sqlite3_stmt, StatementFinalize> statement{handle};
    std::vector<SqlRow> rows;
    while (sqlite3_step(handle) == SQLITE_ROW) {
        SqlRow row;
        for (int k = 0; k < sqlite3_column_count(handle); ++k)
            row.push_back(cell_of(handle, k));
        rows.push_back(std::move(row));
    }
    return rows;
}

double sql_number(const std::filesystem::path& file, const std::string& query)
{
    const std::vector<SqlRow> rows = sql(file, query);
    if (rows.size() != 1 || rows[0].size() != 1 || !rows[0][0].number)
        throw std::runtime_error{query + " gives no single number"};
    return *rows[0][0].number;
}

std::string dump_of(const std::filesystem::path& geopackage)
{
    std::string dump;
    for (const SqlRow& table :
         sql(geopackage, "select name, sql from sqlite_master where type = 'table' and "
                         "sql not like 'create virtual%' order by name")) {
        dump += fmt::format("{}: {}\n", *table[0].text, *table[1].text);
        for (const SqlRow& row :
             sql(geopackage, fmt::format("select * from \"{}\" order by 1, 2", *table[0].text))) {
            for (const SqlCell& cell : row)
                dump += in_full(cell) + "|";
            dump += '\n';
        }
    }
    return dump;
}

} // namespace fuelring::test
