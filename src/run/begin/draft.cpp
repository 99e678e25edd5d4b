// SPDX-License-Identifier: Apache-2.0
#include "run/begin/draft.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace fuelring {

namespace {

/// A remark on lines of its own: nothing in it can end it.
void put_remark(std::string& text, std::string_view remark)
{
    std::string line{remark};
    std::replace_if(
        line.begin(), line.end(), [](unsigned char c) { return c < 0x20 || c == 0x7F; }, ' ');
    text += "# " + line + "\n";
}

} // namespace

DraftKey* DraftTable::find(std::string_view key)
{
    const auto at =
        std::find_if(keys.begin(), keys.end(), [key](const DraftKey& k) { return k.key == key; });
    return at == keys.end() ? nullptr : &*at;
}

void DraftTable::leave_out(const std::string& why)
{
    on = false;
    remarks.push_back("Left out, since a trial said: " + why);
}

DraftTable* Draft::find(std::string_view name)
{
    const auto at = std::find_if(tables.begin(), tables.end(),
                                 [name](const DraftTable& t) { return t.name == name; });
    return at == tables.end() ? nullptr : &*at;
}

std::string Draft::text() const
{
    std::string text;
    for (const std::string& line : head)
        put_remark(text, line);
    for (const DraftTable& table : tables) {
        text += "\n";
        for (const std::string& remark : table.remarks)
            put_remark(text, remark);
        text += fmt::format("{}[{}]\n", table.on ? "" : "#", table.name);
        for (const DraftKey& key : table.keys) {
            if (!key.remark.empty())
                put_remark(text, key.remark);
            text += fmt::format("{}{} = {}\n", table.on && key.on ? "" : "#", key.key, key.value);
        }
    }
    return text;
}

std::string toml_string(std::string_view text)
{
    std::string quoted = "\"";
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        if (c == '"' || c == '\\')
            quoted += '\\';
        if (byte < 0x20 || byte == 0x7F)
            quoted += fmt::format("\\u{:04X}", byte);
        else
            quoted += c;
    }
    return quoted + '"';
}

std::string toml_strings(const std::vector<std::string>& texts)
{
    std::string list;
    for (const std::string& text : texts)
        list += (list.empty() ? "" : ", ") + toml_string(text);
    return "[" + list + "]";
}

} // namespace fuelring
