// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/run_picture.hpp"

#include <filesystem>
#include <string>
#include <utility>
#include <vector>

namespace fuelring {

/// Rows that a sheet of a spreadsheet file can hold, the header among them.
inline constexpr std::size_t most_sheet_rows = 1'048'576;

/// A line of the sheet `about`: what it is, and its value. Both are UTF-8.
using AboutLine = std::pair<std::string, std::string>;

/// Writes a table as an .xlsx file: a sheet with the headings of its columns in a frozen row with a
/// filter, numbers as numbers with their decimals shown and 16 digits kept, texts as texts (never
/// formulas; at most 32,767 characters, as many as a cell takes), one page wide on paper; and a
/// sheet `about`, which also tells the columns' names in the CSV.
/// Law: the same table gives the same bytes; the dates inside are a fixed one.
/// The file is made in a scratch folder beside `path`, put on the disk, read again and its numbers
/// compared, since the library that makes it overlooks some writes that fail; then it is renamed.
/// Requires: fewer rows than most_sheet_rows. Throws: Error{output}.
void write_spreadsheet(const std::filesystem::path& path, const std::string& sheet,
                       const PictureTable& table, std::vector<AboutLine> about);

} // namespace fuelring
