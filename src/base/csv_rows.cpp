// SPDX-License-Identifier: Apache-2.0
#include "base/csv_rows.hpp"

#include "base/small_file.hpp"
#include "base/utf8.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <stdexcept>
#include <string_view>
#include <utility>

namespace fuelring {

namespace {

std::string_view trimmed(std::string_view text)
{
    constexpr std::string_view blanks = " \t\r";
    const std::size_t first = text.find_first_not_of(blanks);
    if (first == text.npos)
        return {};
    return text.substr(first, text.find_last_not_of(blanks) - first + 1);
}

/// The quoted cell that starts at line[at]; moves `at` behind its closing quote.
std::string quoted_cell(std::string_view line, std::size_t& at, const CsvPlace& place)
{
    std::string cell;
    for (++at; at < line.size(); ++at) {
        if (line[at] != '"')
            cell += line[at];
        else if (at + 1 < line.size() && line[at + 1] == '"')
            cell += line[at++];
        else
            return ++at, cell;
    }
    place.fail("a quoted cell does not end on its line", "close it with \"");
}

std::vector<std::string> split(std::string_view line, const CsvPlace& place)
{
    std::vector<std::string> cells;
    std::size_t at = 0;
    for (;;) {
        while (at < line.size() && line[at] == ' ')
            ++at;
        const bool quoted = at < line.size() && line[at] == '"';
        std::string cell = quoted ? quoted_cell(line, at, place) : std::string{};
        const std::size_t comma = std::min(line.find(',', at), line.size());
        const std::string_view rest = trimmed(line.substr(at, comma - at));
        if (quoted && !rest.empty())
            place.fail("text follows the closing quote of a cell", "double the quotes inside it");
        cells.push_back(quoted ? std::move(cell) : std::string{rest});
        if (comma == line.size())
            return cells;
        at = comma + 1;
    }
}

} // namespace

void CsvPlace::fail(const std::string& what, std::string remedy) const
{
    throw Error{Failure::usage, what, fmt::format("{}, line {}", csv.string(), line),
                std::move(remedy)};
}

CsvRows::CsvRows(const std::filesystem::path& csv, const CsvNaming& naming) : place_{csv, 0}
{
    try {
        text_ = small_file(csv, most_table_bytes);
    } catch (const std::runtime_error& e) {
        throw Error{Failure::usage, fmt::format("{} cannot be read: {}", naming.what, e.what()),
                    csv.string(), naming.remedy};
    }
    if (text_.starts_with("\xEF\xBB\xBF"))
        text_.erase(0, 3);
}

bool CsvRows::next()
{
    while (at_ < text_.size()) {
        const std::size_t end = std::min(text_.find('\n', at_), text_.size());
        const std::string_view line = trimmed(std::string_view{text_}.substr(at_, end - at_));
        at_ = end + 1;
        ++place_.line;
        if (line.empty() || line.front() == '#')
            continue;
        cells_ = split(line, place_);
        if (heading_.empty())
            heading_ = cells_;
        if (cells_.size() != heading_.size())
            place_.fail(
                fmt::format("{} cells where the heading has {}", cells_.size(), heading_.size()),
                "put quotes around a cell with a comma");
        require_utf8();
        return true;
    }
    return false;
}

void CsvRows::require_utf8() const
{
    for (std::size_t k = 0; k < cells_.size(); ++k)
        if (!is_utf8(cells_[k]))
            place_.fail(fmt::format("the text in column {} is not UTF-8: '{}'",
                                    shown_bytes(heading_[k]), shown_bytes(cells_[k])),
                        "save the table as UTF-8");
}

} // namespace fuelring
