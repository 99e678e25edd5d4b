// SPDX-License-Identifier: Apache-2.0
#include "run/begin/words.hpp"

#include <algorithm>
#include <cctype>

namespace fuelring {

std::string small_letters(std::string_view text)
{
    std::string small{text};
    std::transform(small.begin(), small.end(), small.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return small;
}

std::vector<std::string> words_of(std::string_view name)
{
    std::vector<std::string> words;
    int before = 0; // 1 letter, 2 digit
    for (const char c : small_letters(name)) {
        const auto byte = static_cast<unsigned char>(c);
        const int now = std::isalpha(byte) != 0 || byte >= 0x80 ? 1
                        : std::isdigit(byte) != 0               ? 2
                                                                : 0;
        if (now != 0 && now != before)
            words.emplace_back();
        if (now != 0)
            words.back() += c;
        before = now;
    }
    return words;
}

bool hints_at(std::string_view name, std::initializer_list<std::string_view> hints)
{
    const std::vector<std::string> words = words_of(name);
    return std::any_of(hints.begin(), hints.end(), [&](std::string_view hint) {
        return std::any_of(words.begin(), words.end(), [&](const std::string& word) {
            return hint.starts_with('=') ? word == hint.substr(1) : word.starts_with(hint);
        });
    });
}

} // namespace fuelring
