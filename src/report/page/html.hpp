// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace fuelring {

/// Text with the characters that HTML reads as markup written as entities, for use between tags and
/// in quoted attributes. Control characters that HTML forbids become U+FFFD.
std::string html_text(std::string_view text);

/// Bytes in base 64 (RFC 4648, section 4), with its padding.
std::string base64(std::string_view bytes);

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
    Html& end(int elements = 1); ///< closes so many elements, those opened last
    /// Words of ours. A line never breaks between a number and its unit: m, m², ha, km.
    Html& text(std::string_view text);
    /// Text of the data as it is, which may run from right to left, apart from what is around it.
    Html& data(std::string_view text);
    /// A whole element of words.
    Html& element(std::string_view tag, std::string_view text,
                  const std::vector<Attribute>& attributes = {});

    /// Opens a table that scrolls sideways where it is wide, for the keyboard too, with these
    /// headings of columns, if any; close it with `end_table`.
    Html& begin_table(std::string_view caption, const std::vector<std::string>& titles = {},
                      const std::vector<Attribute>& attributes = {});
    /// The same, of a name and figures: all but the first column end under each other.
    Html& begin_figures(std::string_view caption, const std::vector<std::string>& titles)
    {
        return begin_table(caption, titles, {{"class", "figures"}});
    }
    Html& end_table() { return end(3).line(); }
    /// A row with the text of the data that names it and its other cells, one of them before it.
    Html& row(std::string_view name, const std::vector<std::string>& cells,
              const std::optional<std::string>& before = {});

    Html& line() { return raw("\n"); }
    /// Markup of our own: never anything from data.
    Html& raw(std::string_view markup);

    const std::string& str() const { return html_; }

private:
    std::string html_;
    std::vector<std::string> open_;
};

} // namespace fuelring
