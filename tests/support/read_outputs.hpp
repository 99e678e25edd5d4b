// SPDX-License-Identifier: Apache-2.0

// Reads what the program wrote with GDAL and SQLite, never with the program's own code.
#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace fuelring::test {

/// One band of a raster file, whole. Float32 and UInt16 both fit a float exactly.
struct Band {
    std::int64_t cols = 0;
    std::int64_t rows = 0;
    std::array<double, 6> transform{};
    std::vector<float> cells; ///< row by row from the first of the file

    float at(std::int64_t row, std::int64_t col) const
    {
        return cells[static_cast<std::size_t>(row * cols + col)];
    }
    double sum() const; ///< of the cells that are not NaN
    /// Equal bit by bit, NaN too.
    bool same_cells(const Band& other) const;
};
Band read_band(const std::filesystem::path& file, int band = 1);

/// A CSV file by RFC 4180. Throws std::runtime_error where a line ends without CRLF, a quote is
/// out of place or a row has more or fewer cells than the header.
struct Csv {
    std::vector<std::string> header;
    std::vector<std::vector<std::string>> rows;

    std::size_t column(std::string_view name) const; ///< throws where there is none
    const std::string& cell(std::size_t row, std::string_view name) const
    {
        return rows[row][column(name)];
    }
};
/// Without its byte order mark, if it has one.
Csv read_csv(const std::filesystem::path& file);

/// One value of a query's result.
struct SqlCell {
    std::optional<double> number;    ///< where it is a number
    std::optional<std::string> text; ///< where it is a text or a blob
    bool is_null() const { return !number && !text; }
};
using SqlRow = std::vector<SqlCell>;
/// The rows that `query` gives on an SQLite file, opened for reading only.
std::vector<SqlRow> sql(const std::filesystem::path& file, const std::string& query);
/// The one number that `query` gives.
double sql_number(const std::filesystem::path& file, const std::string& query);
/// Every table of a GeoPackage, by name, row after row in order; doubles with all their bits.
std::string dump_of(const std::filesystem::path& geopackage);

} // namespace fuelring::test
