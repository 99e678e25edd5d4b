// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>

namespace fuelring {

/// Lines of a CSV end so (RFC 4180).
inline constexpr std::string_view csv_line_end = "\r\n";
/// Tells spreadsheets that the text is UTF-8.
inline constexpr std::string_view utf8_mark = "\xef\xbb\xbf";

/// Appends a text cell, quoted where RFC 4180 asks for it and inert in a spreadsheet; true where
/// an apostrophe had to be put in front.
/// An apostrophe goes before what a spreadsheet would take for a formula: = + - @, a tab, a
/// carriage return or NUL, also behind blanks and line feeds. Law: a reader that goes by RFC 4180
/// gets the text back, behind that apostrophe.
bool append_text_cell(std::string& to, std::string_view text);

/// Appends `value` with that many decimals, correctly rounded, never as -0; nothing where it is
/// not finite. `decimals` 0 to 9.
/// Law: the digits are those that printf's %.Nf gives, less the sign of a zero.
void append_number(std::string& to, double value, int decimals);

/// Records of a CSV file, the header among them, read from the disk.
/// Throws: Error{output} where it cannot be read or its last line has no end.
/// A line feed within quotes ends no record.
std::int64_t count_csv_records(const std::filesystem::path& file);

/// Throws: Error{output} where the file on the disk does not hold that many.
void require_csv_records(const std::filesystem::path& file, std::size_t records);

} // namespace fuelring
