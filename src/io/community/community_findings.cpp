// SPDX-License-Identifier: Apache-2.0

// Warnings are written for many; where there is one only, its noun and its verbs are put into the
// singular, by a short list of the verbs that these sentences have.
#include "io/community/community_findings.hpp"

#include <algorithm>
#include <array>
#include <string_view>

namespace fuelring {

namespace {

struct Words {
    std::string_view many, one;
};
constexpr std::array verbs{
    Words{" cross themselves ", " crosses itself "},
    Words{" are ", " is "},
    Words{" were ", " was "},
    Words{" have ", " has "},
    Words{" enclose ", " encloses "},
    Words{" hold ", " holds "},
    Words{" join ", " joins "},
    Words{" lie ", " lies "},
    Words{" stand ", " stands "},
    Words{" overlap ", " overlaps "},
    Words{" single points ", " a single point "},
};

} // namespace

std::string singular_of(const std::string& text)
{
    const std::size_t clause = std::min(text.find_first_of(":;"), text.size());
    std::string head = text.substr(0, clause);
    const std::size_t noun = std::min(head.find(' '), head.size());
    if (head.compare(0, noun, "addresses") == 0)
        head.erase(noun - 2, 2);
    else if (noun > 0 && head[noun - 1] == 's')
        head.erase(noun - 1, 1);
    for (const Words& words : verbs)
        for (std::size_t at = head.find(words.many); at != std::string::npos;
             at = head.find(words.many, at + words.one.size() - 1))
            head.replace(at, words.many.size(), words.one);
    return head + text.substr(clause);
}

} // namespace fuelring
