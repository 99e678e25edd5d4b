// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string_view>
#include <vector>

namespace fuelring {

/// The word of `words` that `word` is most likely meant to be: the first of those with the fewest
/// single letters to put in, take out or replace; none where more than half of them are (and more
/// than two).
/// The result looks at what `words` looks at. Source: Levenshtein 1966, Binary codes capable of
/// correcting deletions, insertions and reversals.
std::optional<std::string_view> nearest_word(std::string_view word,
                                             const std::vector<std::string_view>& words);

} // namespace fuelring
