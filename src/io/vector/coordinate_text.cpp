// SPDX-License-Identifier: Apache-2.0
#include "io/vector/coordinate_text.hpp"

#include <charconv>
#include <cmath>
#include <string>

namespace fuelring {

std::optional<double> coordinate_of(std::string_view text)
{
    std::string digits;
    const std::size_t last_comma = text.rfind(',');
    const bool comma_is_decimal =
        last_comma != text.npos && text.find('.') == text.npos && text.find(',') == last_comma;
    for (std::size_t k = 0; k < text.size(); ++k) {
        const char c = text[k];
        if (c == ',' && comma_is_decimal)
            digits += '.';
        else if (c == ',' && text.find('.', k) == text.npos)
            return std::nullopt; // two commas and no point, or a comma behind the point
        else if (c != ' ' && c != '\'' && c != ',' && c != '\t')
            digits += c;
    }
    if (digits.starts_with('+'))
        digits.erase(0, 1);
    double value = 0;
    const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
    if (digits.empty() || error != std::errc{} || end != digits.data() + digits.size() ||
        !std::isfinite(value))
        return std::nullopt;
    return value;
}

} // namespace fuelring
