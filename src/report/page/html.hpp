// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace fuelring {

/// Text with the characters that HTML reads as markup written as entities, for use between tags and
/// in quoted attributes. Control characters that HTML forbids become U+FFFD.
std::string html_text(std::string_view text);

/// HTML that grows element by element. Whatever comes from data goes in as text or as the value of
/// an attribute, and so is escaped; only tags are markup.
class Html {
public:
    struct Attribute {
        std::string_view name;
        std::string value;
    };

    /// Opens an element; close it with `end`.
    Html& begin(std::string_view tag, const std::vector<Attribute>& attributes = {});
    Html& end(); ///< closes the element opened last
    Html& text(std::string_view text);
    /// A whole element of text.
    Html& element(std::string_view tag, std::string_view text,
                  const std::vector<Attribute>& attributes = {});
    Html& line() { return raw("\n"); }
    /// Markup of our own: never anything from data.
    Html& raw(std::string_view markup);

    const std::string& str() const { return html_; }

private:
    std::string html_;
    std::vector<std::string> open_;
};

} // namespace fuelring
