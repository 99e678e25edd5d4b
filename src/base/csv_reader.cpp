// SPDX-License-Identifier: Apache-2.0

// One pass over the text, a cell at a time; at_ is where the next one begins. A cell ends at a
// comma, at the end of its line, or, in quotes, at a quote that no second one follows. The heading
// says how many cells a record has, so a comma too many is met on the line where it stands.
#include "base/csv_reader.hpp"

#include "base/small_file.hpp"
#include "base/utf8.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <stdexcept>
#include <utility>

namespace fuelring {

namespace {

constexpr std::string_view cell_blanks = " \t\r";

std::string text_of(const std::filesystem::path& csv, const CsvNaming& naming)
{
    try {
        return small_file(csv, most_table_bytes);
    } catch (const std::runtime_error& e) {
        throw Error{Failure::usage, fmt::format("{} cannot be read: {}", naming.what, e.what()),
                    csv.string(), naming.remedy};
    }
}

std::string_view trimmed(std::string_view text)
{
    const std::size_t first = text.find_first_not_of(cell_blanks);
    if (first == text.npos)
        return {};
    return text.substr(first, text.find_last_not_of(cell_blanks) - first + 1);
}

} // namespace

void CsvPlace::fail(const std::string& what, std::string remedy) const
{
    throw Error{Failure::usage, what, fmt::format("{}, line {}", csv.string(), line),
                std::move(remedy)};
}

CsvReader::CsvReader(const std::filesystem::path& csv, const CsvNaming& naming)
    : CsvReader{text_of(csv, naming), CsvStyle::by_people, csv}
{}

CsvReader::CsvReader(std::string text, CsvStyle style, std::filesystem::path csv)
    : text_{std::move(text)}, style_{style}, place_{std::move(csv), 0}
{
    if (begins_as_utf16(text_))
        throw Error{Failure::usage, "the table is UTF-16, not UTF-8", place_.csv.string(),
                    "save the table as UTF-8"};
    if (text_.starts_with("\xEF\xBB\xBF"))
        text_.erase(0, 3);
}

std::string_view CsvReader::rest_of_line() const
{
    const std::size_t end = std::min(text_.find('\n', at_), text_.size());
    return std::string_view{text_}.substr(at_, end - at_);
}

/// at_ is at its opening quote, and then behind its closing one.
std::string CsvReader::quoted_cell()
{
    std::string cell;
    for (++at_; at_ < text_.size() && !(by_people() && text_[at_] == '\n'); ++at_) {
        if (text_[at_] == '"' && text_[at_ + 1] != '"') // NUL behind the text's end
            return ++at_, cell;
        at_ += text_[at_] == '"' ? 1 : 0; // the second of two
        lines_ += text_[at_] == '\n' ? 1 : 0;
        cell += text_[at_];
    }
    place_.fail("a quoted cell does not end on its line", "close it with \"");
}

/// at_ is then behind it, at a comma or at the end of the line.
std::string CsvReader::cell()
{
    while (by_people() && at_ < text_.size() && text_[at_] == ' ')
        ++at_;
    const bool quoted = at_ < text_.size() && text_[at_] == '"';
    std::string found = quoted ? quoted_cell() : std::string{};
    std::string_view rest = rest_of_line();
    rest = rest.substr(0, rest.find(','));
    at_ += rest.size();
    if (by_people())
        rest = trimmed(rest);
    else if (at_line_end() && rest.ends_with('\r'))
        rest.remove_suffix(1);
    if (quoted && !rest.empty())
        place_.fail("text follows the closing quote of a cell", "double the quotes inside it");
    return quoted ? found : std::string{rest};
}

bool CsvReader::next()
{
    for (; by_people() && at_ < text_.size(); ++lines_, skip_line())
        if (const auto line = trimmed(rest_of_line()); !line.empty() && line.front() != '#')
            break;
    // Comments and empty lines count: messages give the line that an editor shows.
    place_.line = lines_;
    if (at_ >= text_.size())
        return false;
    place_.line = ++lines_;
    if (by_people())
        at_ += rest_of_line().find_first_not_of(cell_blanks);
    cells_ = {cell()};
    for (; !at_line_end(); cells_.push_back(cell()))
        ++at_; // the comma
    ++at_;
    if (heading_.empty())
        heading_ = cells_;
    if (cells_.size() != heading_.size())
        place_.fail(
            fmt::format("{} cells where the heading has {}", cells_.size(), heading_.size()),
            "put quotes around a cell with a comma");
    require_utf8();
    return true;
}

void CsvReader::require_utf8() const
{
    for (std::size_t k = 0; k < cells_.size(); ++k)
        if (!is_utf8(cells_[k]))
            place_.fail(fmt::format("the text in column {} is not UTF-8: '{}'",
                                    shown_bytes(heading_[k]), shown_bytes(cells_[k])),
                        "save the table as UTF-8");
}

} // namespace fuelring
