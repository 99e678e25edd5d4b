// SPDX-License-Identifier: Apache-2.0
#include "base/program/nearest_word.hpp"

#include <algorithm>
#include <numeric>

namespace fuelring {

namespace {

/// Levenshtein distance, one row of the table at a time.
std::size_t edit_distance(std::string_view a, std::string_view b)
{
    std::vector<std::size_t> row(b.size() + 1);
    std::iota(row.begin(), row.end(), std::size_t{0});
    for (std::size_t i = 0; i < a.size(); ++i) {
        std::size_t diagonal = row[0];
        row[0] = i + 1;
        for (std::size_t j = 0; j < b.size(); ++j) {
            // row[j + 1] still holds the row above, row[j] this one; `diagonal` is what row[j] was.
            const std::size_t replaced = diagonal + (a[i] == b[j] ? 0 : 1);
            diagonal = row[j + 1];
            row[j + 1] = std::min({replaced, row[j] + 1, row[j + 1] + 1});
        }
    }
    return row.back();
}

} // namespace

std::optional<std::string_view> nearest_word(std::string_view word,
                                             const std::vector<std::string_view>& words)
{
    std::optional<std::string_view> nearest;
    // Farther words would be a guess: half of the letters may be wrong, and in a short word two.
    std::size_t least = std::max<std::size_t>(2, word.size() / 2) + 1;
    for (const std::string_view candidate : words) {
        const std::size_t distance = edit_distance(word, candidate);
        if (distance < least) {
            least = distance;
            nearest = candidate;
        }
    }
    return nearest;
}

} // namespace fuelring
