// SPDX-License-Identifier: Apache-2.0
#include "report/history_lines.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <cstdlib>
#include <optional>
#include <set>
#include <string_view>

namespace fuelring {

namespace {

/// A cell as text: names and dates may look like numbers.
std::string cell_of(const PictureTable& table, std::string_view column, std::size_t row)
{
    const double number = table.number(column, row);
    return std::isnan(number) ? table.text(column, row) : fmt::format("{}", number);
}

/// The calendar date at the beginning of a text: "2024", "2024-07" or "2024-07-15".
std::optional<std::string> calendar_date(const std::string& text)
{
    constexpr std::string_view pattern = "0000-00-00";
    std::size_t fits = 0;
    while (fits < pattern.size() && fits < text.size() &&
           (pattern[fits] == '0' ? std::isdigit(static_cast<unsigned char>(text[fits])) != 0
                                 : text[fits] == pattern[fits]))
        ++fits;
    const std::size_t length = fits >= 10 ? 10 : fits >= 7 ? 7 : 4;
    const bool is_whole =
        fits >= 4 && (text.size() == length || text[length] == 'T' || text[length] == ' ');
    return is_whole ? std::optional{text.substr(0, length)} : std::nullopt;
}

/// In the middle of the month or the year where no more is known.
double year_of(const std::string& date)
{
    const auto part = [&date](std::size_t at, std::size_t length, double otherwise) {
        return at < date.size() ? std::atof(date.substr(at, length).c_str()) : otherwise;
    };
    return part(0, 4, 0) + (part(5, 2, 6.5) - 1) / 12 + (part(8, 2, 16) - 1) / 365.25;
}

} // namespace

HistoryLines history_lines(const PictureTable& history, const std::vector<std::string>& rows)
{
    HistoryLines lines;
    if (history.rows == 0)
        return lines;
    const std::string method = cell_of(history, "method", history.rows - 1);
    std::map<std::string, std::map<std::string, double>> by_date; // then by name
    std::set<std::string> others;
    for (std::size_t k = 0; k < history.rows; ++k) {
        const auto date = calendar_date(cell_of(history, "imagery_date", k));
        if (!date)
            continue;
        if (cell_of(history, "method", k) != method)
            others.insert(*date);
        else // later rows of the file are later runs
            by_date[*date][cell_of(history, "neighbourhood", k)] =
                history.number("mean_exposure", k);
    }
    for (const auto& [date, means] : by_date) {
        others.erase(date);
        lines.dates.push_back(date);
        lines.years.push_back(year_of(date));
        for (const std::string& row : rows) {
            const auto found = means.find(row);
            lines.mean_exposure[row].push_back(found == means.end() ? std::nan("") : found->second);
        }
    }
    lines.other_methods = others.size();
    return lines;
}

} // namespace fuelring
