// SPDX-License-Identifier: Apache-2.0
#include "base/utf8.hpp"

#include <fmt/format.h>

#include <cstddef>
#include <cstdint>

namespace fuelring {

namespace {

constexpr std::size_t most_shown_bytes = 60;

/// How a character of several bytes begins: the lead byte's range, how many bytes follow, and the
/// range of the first of them (the others are 80 to BF).
struct Sequence {
    std::uint8_t lead_from, lead_to;
    std::size_t following;
    std::uint8_t second_from, second_to;
};
/// The narrower ranges of the second byte shut out what is written too long (E0, F0), the halves of
/// UTF-16 pairs (ED) and what lies beyond U+10FFFF (F4). Source: RFC 3629, section 4.
constexpr Sequence sequences[] = {{0xC2, 0xDF, 1, 0x80, 0xBF}, {0xE0, 0xE0, 2, 0xA0, 0xBF},
                                  {0xE1, 0xEC, 2, 0x80, 0xBF}, {0xED, 0xED, 2, 0x80, 0x9F},
                                  {0xEE, 0xEF, 2, 0x80, 0xBF}, {0xF0, 0xF0, 3, 0x90, 0xBF},
                                  {0xF1, 0xF3, 3, 0x80, 0xBF}, {0xF4, 0xF4, 3, 0x80, 0x8F}};

/// Bytes of the character that begins at text[at]; 0 where none does.
std::size_t character_bytes(std::string_view text, std::size_t at)
{
    const auto byte = [&text](std::size_t k) { return static_cast<std::uint8_t>(text[k]); };
    if (byte(at) < 0x80)
        return 1;
    for (const Sequence& s : sequences) {
        if (byte(at) < s.lead_from || byte(at) > s.lead_to)
            continue;
        if (at + s.following >= text.size() || byte(at + 1) < s.second_from ||
            byte(at + 1) > s.second_to)
            return 0;
        for (std::size_t k = at + 2; k <= at + s.following; ++k)
            if (byte(k) < 0x80 || byte(k) > 0xBF)
                return 0;
        return s.following + 1;
    }
    return 0;
}

} // namespace

bool is_utf8(std::string_view text)
{
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t bytes = character_bytes(text, at);
        if (bytes == 0)
            return false;
        at += bytes;
    }
    return true;
}

bool begins_as_utf16(std::string_view text)
{
    if (text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF"))
        return true;
    constexpr std::size_t looked_at = 4;
    if (text.size() < looked_at)
        return false;
    const auto pattern = [&](std::size_t nul) {
        for (std::size_t k = 0; k < looked_at; ++k)
            if ((text[k] == 0) != (k % 2 == nul))
                return false;
        return true;
    };
    return pattern(0) || pattern(1);
}

std::string shown_bytes(std::string_view text)
{
    if (text.size() <= most_shown_bytes && is_utf8(text))
        return std::string{text};
    std::string shown;
    for (const char c : text.substr(0, most_shown_bytes))
        if (const auto byte = static_cast<std::uint8_t>(c); byte < 0x80)
            shown += c;
        else
            shown += fmt::format("\\x{:02X}", byte);
    return text.size() > most_shown_bytes ? shown + "..." : shown;
}

} // namespace fuelring
