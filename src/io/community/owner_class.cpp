// SPDX-License-Identifier: Apache-2.0

// A class becomes a part of a column's name, so it is of small letters, digits and underscores;
// letters beyond ASCII stay as they are. Names that the columns themselves use get an underscore.
#include "io/community/owner_class.hpp"

namespace fuelring {

std::string owner_class(std::string_view text)
{
    std::string name;
    for (const char c : text) {
        const bool upper = c >= 'A' && c <= 'Z';
        const bool kept = upper || (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') ||
                          static_cast<unsigned char>(c) >= 0x80; // letters beyond ASCII
        if (kept)
            name += upper ? static_cast<char>(c - 'A' + 'a') : c;
        else if (!name.empty() && name.back() != '_')
            name += '_';
    }
    while (!name.empty() && name.back() == '_')
        name.pop_back();
    if (name.empty())
        return std::string{unknown_owner};
    if (name == "own" || name == "other_private" || name == "no_parcel")
        name += '_';
    return name;
}

} // namespace fuelring
