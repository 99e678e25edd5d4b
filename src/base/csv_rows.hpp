// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <filesystem>
#include <string>
#include <vector>

namespace fuelring {

/// A place in a small CSV that people write, for messages.
struct CsvPlace {
    std::filesystem::path csv;
    std::size_t line = 0;

    /// Throws: Error{usage} with file and line.
    [[noreturn]] void fail(const std::string& what, std::string remedy = {}) const;
};

/// How messages speak of a file that cannot be read, and what to do about it.
struct CsvNaming {
    std::string what;   ///< "the fuel-class table"
    std::string remedy; ///< "check inputs.fuel.classes"
};

/// Rows of a small CSV one after the other, the heading first, so that what is wrong is met in the
/// order of lines. UTF-8, a mark in front and CRLF allowed; empty lines and lines that start with
/// `#` are left out; blanks around a cell are no part of it, unless it is quoted; a quoted cell
/// ends on its line.
class CsvRows {
public:
    /// Throws: Error{usage} where the file cannot be read.
    CsvRows(const std::filesystem::path& csv, const CsvNaming& naming);

    /// Goes to the next row; false where there is none.
    /// Throws: Error{usage} naming file and line where a quote is misplaced, a row has other than
    /// the heading's number of cells, or a cell is not UTF-8.
    bool next();
    const std::vector<std::string>& cells() const { return cells_; } ///< of this row
    const CsvPlace& place() const { return place_; }                 ///< of this row

private:
    std::string text_;
    std::size_t at_ = 0; ///< where the next line starts
    CsvPlace place_;
    void require_utf8() const;

    std::vector<std::string> heading_; ///< empty before it
    std::vector<std::string> cells_;
};

} // namespace fuelring
