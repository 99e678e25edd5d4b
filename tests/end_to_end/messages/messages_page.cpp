// SPDX-License-Identifier: Apache-2.0
#include "end_to_end/messages.hpp"

#include <algorithm>
#include <sstream>
#include <stdexcept>
#include <string_view>

namespace fuelring::test {

namespace {

constexpr std::string_view any = "…";

/// "| `message` | 3 | remedy |"
MessageRow parse_row(const std::string& line)
{
    const std::size_t first = line.find("` | ");
    const std::size_t second = first == line.npos ? line.npos : line.find(" | ", first + 4);
    if (second == line.npos || !line.ends_with(" |"))
        throw std::runtime_error{"messages.md, malformed row: " + line};
    return {line.substr(3, first - 3), std::stoi(line.substr(first + 4, second - first - 4)),
            line.substr(second + 3, line.size() - second - 5)};
}

} // namespace

std::vector<std::string> MessageRow::words() const
{
    std::vector<std::string> words;
    for (std::size_t at = 0; at < message.size();) {
        const std::size_t end = std::min(message.find(any, at), message.size());
        if (end > at)
            words.push_back(message.substr(at, end - at));
        at = end + any.size();
    }
    return words;
}

std::vector<MessageRow> messages_of_manual(const std::string& section)
{
    std::istringstream page{text_of(MESSAGES_PAGE)};
    std::vector<MessageRow> rows;
    bool inside = false;
    for (std::string line; std::getline(page, line);) {
        if (line.starts_with("#"))
            inside = line == section;
        else if (inside && line.starts_with("| `"))
            rows.push_back(parse_row(line));
    }
    if (rows.empty())
        throw std::runtime_error{"messages.md has no such table: " + section};
    return rows;
}

} // namespace fuelring::test
