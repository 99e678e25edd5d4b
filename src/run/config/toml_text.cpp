// SPDX-License-Identifier: Apache-2.0

// How deep a text is nested is counted before it is parsed, by a look at brackets and dots outside
// of texts and comments. Where the text is valid TOML up to some place, so are the counts; behind
// the first error nothing is parsed.
#include "run/config/toml_text.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <string_view>

namespace fuelring {

namespace {

class TomlDepth {
public:
    explicit TomlDepth(std::string_view text) : text_(text) {}

    /// The line on which the text becomes too deep; 0 where it never does.
    int line_too_deep()
    {
        while (at_ < text_.size()) {
            take(text_[at_]);
            if (parts_ > deepest_toml || brackets_ > deepest_toml)
                return line_at(at_);
        }
        return 0;
    }

private:
    void take(char c)
    {
        if (c == '"' || c == '\'')
            return skip_text(c);
        if (c == '#') {
            at_ = std::min(text_.find('\n', at_), text_.size());
            return;
        }
        ++at_;
        if (c == '.')
            ++parts_;
        // A dot joins parts of one key; at any of these a key has ended.
        else if (std::string_view{"\n=,[]{}"}.find(c) != std::string_view::npos)
            parts_ = 1;
        if (c == '[' || c == '{')
            ++brackets_;
        else if (c == ']' || c == '}')
            brackets_ = std::max(0, brackets_ - 1);
    }

    /// From the quote that opens a text to behind the one that closes it; a line ends a text of one
    /// line.
    void skip_text(char quote)
    {
        const bool long_text = text_.substr(at_, 3) == std::string(3, quote);
        const std::size_t marks = long_text ? 3 : 1;
        for (at_ += marks; at_ < text_.size(); ++at_) {
            if (text_[at_] == '\\' && quote == '"') {
                ++at_;
            } else if (text_.substr(at_, marks) == std::string(marks, quote)) {
                at_ += marks; // two more quotes may be the end of a long text
                for (int more = 0;
                     long_text && more < 2 && text_.substr(at_, 1) == std::string(1, quote); ++more)
                    ++at_;
                return;
            } else if (text_[at_] == '\n' && !long_text) {
                return;
            }
        }
        at_ = std::min(at_, text_.size());
    }

    int line_at(std::size_t place) const
    {
        return 1 + static_cast<int>(std::count(
                       text_.begin(), text_.begin() + static_cast<std::ptrdiff_t>(place), '\n'));
    }

    std::string_view text_;
    std::size_t at_ = 0;
    int parts_ = 1;
    int brackets_ = 0;
};

} // namespace

toml::table parse_toml(const std::string& text, const std::filesystem::path& file)
{
    if (const int line = TomlDepth{text}.line_too_deep(); line > 0)
        throw Error{Failure::usage,
                    fmt::format("keys or brackets are nested deeper than {} levels", deepest_toml),
                    fmt::format("{}, line {}", file.string(), line),
                    "no key that is known here has more than four parts"};
    try {
        return toml::parse(text);
    } catch (const toml::parse_error& e) {
        throw Error{Failure::usage, fmt::format("no valid TOML: {}", e.description()),
                    fmt::format("{}, line {}, column {}", file.string(), e.source().begin.line,
                                e.source().begin.column),
                    "put text in quotes and table names in [brackets]"};
    }
}

} // namespace fuelring
