// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>

namespace fuelring {

/// True for text in UTF-8: no byte out of place, nothing written longer than need be, no halves of
/// UTF-16 pairs. Source: RFC 3629, section 4.
/// Law: the empty text is UTF-8, and two such texts joined are.
bool is_utf8(std::string_view text);

/// True for the first bytes of a text in UTF-16: its mark of byte order, or letters of ASCII with a
/// NUL before or behind each. Law: false for every text in UTF-8 without NUL.
bool begins_as_utf16(std::string_view text);
/// Code points of UTF-8.
inline std::size_t characters_in(std::string_view text)
{
    return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
        return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
    }));
}

/// Text for a message: as it stands where it is UTF-8, else with \xDF for every byte beyond ASCII.
/// No more than the first 60 bytes of it.
/// Law: the result is UTF-8. A longer text ends with "..." and has its bytes beyond ASCII written
/// out in any case, since the cut may split a character.
///
///     shown_bytes("caf\xE9")  gives  caf\xE9, seven characters
std::string shown_bytes(std::string_view text);

} // namespace fuelring
