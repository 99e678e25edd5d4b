// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

namespace fuelring {

/// Text for XML and HTML, between tags and in quoted attributes: & < > " as entities, every other
/// character as `other` writes it. Source: XML 1.0, 2.4.
/// `other` gets one byte at a time, also of a character that takes several, and returns what is
/// appended for it. An apostrophe is left to it: attributes stand in double quotes.
///
///     markup_text("a < b", [](std::string_view c) { return c; })  gives  a &lt; b
template <typename Other>
std::string markup_text(std::string_view text, Other&& other)
{
    std::string markup;
    markup.reserve(text.size() + text.size() / 8);
    for (const char& c : text)
        switch (c) {
        case '&':
            markup += "&amp;";
            break;
        case '<':
            markup += "&lt;";
            break;
        case '>':
            markup += "&gt;";
            break;
        case '"':
            markup += "&quot;";
            break;
        default:
            markup += other(std::string_view{&c, 1});
        }
    return markup;
}

/// Control characters of ASCII below the blank, tab and line ends among them. Requires: not empty;
/// only the first byte is looked at.
inline bool is_control(std::string_view character)
{
    return static_cast<unsigned char>(character.front()) < 0x20;
}

} // namespace fuelring
