// SPDX-License-Identifier: Apache-2.0

// The filter is put in brackets and handed to SQL of several kinds. So it is enough to see that no
// quote and no bracket is left open or closed too often, and that nothing outside quotes ends the
// statement.
#include "io/vector/attribute_filter.hpp"

#include <fmt/format.h>

namespace fuelring {

std::string what_cuts_filter(std::string_view where)
{
    int open = 0; // brackets
    for (std::size_t at = 0; at < where.size(); ++at) {
        const char c = where[at];
        if (c == '\'' || c == '"' || c == '`') { // a doubled quote opens what it closed
            const std::size_t end = where.find(c, at + 1);
            if (end == where.npos)
                return fmt::format("the quote {} is not closed", c);
            at = end;
        } else if (c == '(') {
            ++open;
        } else if (c == ')' && --open < 0) {
            return "it would end at the bracket ) that nothing opens";
        } else if (c == ';') {
            return "it would end at the semicolon";
        } else if (const auto two = where.substr(at, 2); two == "--" || two == "/*") {
            return fmt::format("it would end at the comment {}", two);
        }
    }
    return {};
}

} // namespace fuelring
