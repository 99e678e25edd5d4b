// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <utility>
#include <vector>

namespace fuelring {

/// Rows that a sheet of a spreadsheet file can hold, the header among them.
inline constexpr std::int64_t most_sheet_rows = 1'048'576;

/// Whether the rows of a layer fit into a sheet. Throws: Error{input} where it cannot be read.
bool sheet_holds(const std::filesystem::path& geopackage, const std::string& layer);

/// A line of the sheet `about`: what it is, and its value.
using AboutLine = std::pair<std::string, std::string>;

/// Writes a layer of a GeoPackage as an .xlsx file: the sheet `layer` with the same columns and
/// rows, numbers as numbers with 15 digits, texts as texts (never formulas), and a sheet `about`.
/// Law: the same rows give the same bytes. Its numbers are read again and compared, and the bytes
/// written durably.
/// Requires sheet_holds(geopackage, layer). Throws: Error{output}; Error{input} where the layer
/// cannot be read.
void write_spreadsheet(const std::filesystem::path& path, const std::filesystem::path& geopackage,
                       const std::string& layer, const std::vector<AboutLine>& about);

} // namespace fuelring
