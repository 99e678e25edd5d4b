// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

namespace fuelring {

/// Text for XML and HTML, between tags and in quoted attributes: & < > " as entities, every other
/// character as `other` writes it. Source: XML 1.0, 2.4.
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

inline bool is_control(std::string_view character)
{
    return static_cast<unsigned char>(character.front()) < 0x20;
}

} // namespace fuelring
