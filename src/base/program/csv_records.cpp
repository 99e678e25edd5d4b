// SPDX-License-Identifier: Apache-2.0
#include "base/program/csv_records.hpp"

#include "base/program/csv_writer.hpp"

namespace fuelring {

namespace {

/// Takes one cell off the front; false where its quotes are out of place.
bool take_cell(std::string_view& text, std::string& cell)
{
    cell.clear();
    if (!text.starts_with('"')) {
        const std::size_t end = std::min(text.find_first_of(",\"\r\n"), text.size());
        cell = text.substr(0, end);
        text.remove_prefix(end);
        return !text.starts_with('"');
    }
    for (text.remove_prefix(1);;) {
        const std::size_t quote = text.find('"');
        if (quote == text.npos)
            return false;
        cell += text.substr(0, quote);
        text.remove_prefix(quote + 1);
        if (!text.starts_with('"'))
            return true;
        cell += '"';
        text.remove_prefix(1);
    }
}

/// Takes one record with its end off the front; false where it is none.
bool take_record(std::string_view& text, std::vector<std::string>& record)
{
    record.clear();
    for (;;) {
        if (!take_cell(text, record.emplace_back()))
            return false;
        if (text.starts_with(csv_line_end)) {
            text.remove_prefix(csv_line_end.size());
            return true;
        }
        if (!text.starts_with(','))
            return false;
        text.remove_prefix(1);
    }
}

} // namespace

std::optional<std::vector<std::vector<std::string>>> csv_records(std::string_view text)
{
    if (text.starts_with(utf8_mark))
        text.remove_prefix(utf8_mark.size());
    std::vector<std::vector<std::string>> records;
    std::vector<std::string> record;
    while (!text.empty()) {
        if (!take_record(text, record) ||
            (!records.empty() && record.size() != records.front().size()))
            return std::nullopt;
        records.push_back(record);
    }
    return records;
}

} // namespace fuelring
