// SPDX-License-Identifier: Apache-2.0

// Numbers as people read them in English; files keep their digits together.
#pragma once

#include <fmt/format.h>

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

namespace fuelring {

/// Commas between thousands of the digits of `text` that stand before `end`.
/// A minus sign in front is not one of them. Requires: `end` is the place of the decimal point, or
/// the size of the text.
///
///     with_commas("1471.5", 4)  gives  1,471.5
inline std::string with_commas(std::string text, std::size_t end)
{
    const std::size_t first = text.starts_with('-') ? 1 : 0;
    for (std::size_t at = end; at > first + 3; at -= 3)
        text.insert(at - 3, 1, ',');
    return text;
}

/// "20,000", "-1,471".
/// Digits in threes from the right, for every value of the type.
inline std::string grouped(std::int64_t count)
{
    const std::string text = std::to_string(count);
    return with_commas(text, text.size());
}

/// "1,471.5", "-1,471.5".
/// Rounds to one decimal as fmt does, by the exact value of the double: 0.25 gives "0.2". A value
/// just below 0 keeps its sign: "-0.0".
inline std::string grouped_tenths(double value)
{
    constexpr std::size_t of_tenths = 2; // the point and a digit
    const std::string text = fmt::format("{:.1f}", value);
    return with_commas(text, text.size() - of_tenths);
}

/// "11,344", "CAD 11,344", "$11,344": a currency that ends in a letter stands apart.
/// Rounds to whole units.
inline std::string grouped_money(double amount, std::string_view currency)
{
    const char last = currency.empty() ? ' ' : currency.back();
    const bool letter = (last >= 'a' && last <= 'z') || (last >= 'A' && last <= 'Z') || last == '.';
    return fmt::format("{}{}{}", currency, letter ? " " : "", grouped(std::llround(amount)));
}

} // namespace fuelring
