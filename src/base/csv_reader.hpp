// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <charconv>
#include <cstddef>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace fuelring {

/// A place in a CSV, for messages.
struct CsvPlace {
    std::filesystem::path csv;
    std::size_t line = 0; ///< where the record starts, counted from 1

    /// Throws: Error{usage} with file and line.
    /// Without a remedy the message ends with `what`.
    [[noreturn]] void fail(const std::string& what, std::string remedy = {}) const;
};

/// How messages speak of a file that cannot be read, and what to do about it.
struct CsvNaming {
    std::string what;   ///< "the fuel-class table"
    std::string remedy; ///< "check inputs.fuel.classes"
};

enum class CsvStyle {
    /// As people write small tables: LF or CRLF; empty lines and lines that start with `#` are left
    /// out; blanks around a cell are no part of it, unless it is quoted; a quoted cell ends on its
    /// line, so that a quote that was forgotten is told where it is.
    by_people,
    /// As append_text_cell writes: every byte between separators belongs to a cell, and a quoted
    /// cell may hold the end of a line. Law: the cells, written again, are the text again.
    by_fuelring,
};

/// The one reader of CSV: records one after the other, the heading first, so that what is wrong is
/// met in the order of lines. Cells are UTF-8, those with a comma or a quote in double quotes, the
/// quotes in them doubled; a byte order mark in front is left out.
/// Source: RFC 4180, section 2.
/// Memory: the whole text and one record. For one thread.
///
///     CsvReader table{csv, {"the fuel-class table", "check inputs.fuel.classes"}};
///     const bool has_heading = table.next();
///     while (table.next())
///         take(table.cells(), table.place());
class CsvReader {
public:
    /// A table by people. Throws: Error{usage} where the file cannot be read, or has more than
    /// most_table_bytes.
    CsvReader(const std::filesystem::path& csv, const CsvNaming& naming);
    /// What was read from `csv` already, which only names the place in messages.
    /// Throws: Error{usage} for a text in UTF-16.
    CsvReader(std::string text, CsvStyle style, std::filesystem::path csv);

    /// Goes to the next record; false where there is none.
    /// Throws: Error{usage} naming file and line where a quote is misplaced, a record has other
    /// than the heading's number of cells, or a cell is not UTF-8.
    /// Law: the first record is the heading, and each one after it has as many cells. The last line
    /// may lack its end. After false, place() is the last line.
    bool next();
    const std::vector<std::string>& cells() const { return cells_; } ///< of this record
    const CsvPlace& place() const { return place_; }                 ///< of this record

private:
    bool by_people() const { return style_ == CsvStyle::by_people; }
    /// Also at the end of the text.
    bool at_line_end() const { return at_ >= text_.size() || text_[at_] == '\n'; }
    /// From at_, without the line's end.
    std::string_view rest_of_line() const;
    void skip_line() { at_ += rest_of_line().size() + 1; }
    std::string quoted_cell();
    std::string cell();
    void require_utf8() const;

    std::string text_;
    CsvStyle style_;
    CsvPlace place_;
    std::size_t at_ = 0;               ///< what is read next
    std::size_t lines_ = 0;            ///< begun up to at_
    std::vector<std::string> heading_; ///< empty before it
    std::vector<std::string> cells_;
};

/// The number that a cell is, nothing before or behind it; none where it is no number of type T.
/// Grammar: std::from_chars, so the point is the decimal sign in every locale, and neither a plus
/// sign nor a blank may stand in front. A whole number beyond T is none. `inf` and `nan` are real
/// numbers here: who needs a finite one looks.
template <typename T>
std::optional<T> number_in(std::string_view cell)
{
    T value{};
    const char* end = cell.data() + cell.size();
    const auto [stop, failure] = std::from_chars(cell.data(), end, value);
    return failure == std::errc{} && stop == end ? std::optional{value} : std::nullopt;
}

} // namespace fuelring
