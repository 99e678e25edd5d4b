// SPDX-License-Identifier: Apache-2.0

// Markup grows from left to right, and the elements that are open are remembered, so that end()
// needs no name. Escaping happens where text goes in: there is no other way in for data.
#include "report/page/html.hpp"

#include "base/markup.hpp"

#include <cstdint>

namespace fuelring {

namespace {

bool is_word(char c)
{
    return (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
}

bool begins_with_unit(std::string_view words)
{
    for (const std::string_view unit : {"m", "ha", "km"})
        if (words.starts_with(unit) &&
            (words.size() == unit.size() || !is_word(words[unit.size()])))
            return true;
    return false;
}

/// With a space that does not break the line between each number and its unit.
std::string unbroken(std::string_view words)
{
    std::string text;
    for (std::size_t k = 0; k < words.size(); ++k) {
        const bool joins = words[k] == ' ' && k > 0 && words[k - 1] >= '0' && words[k - 1] <= '9' &&
                           begins_with_unit(words.substr(k + 1));
        text += joins ? std::string_view{"\u00a0"} : words.substr(k, 1);
    }
    return text;
}

} // namespace

std::string html_text(std::string_view text)
{
    return markup_text(text, [](std::string_view c) -> std::string_view {
        if (c == "'")
            return "&#39;";
        const bool forbidden = (is_control(c) && c != "\n" && c != "\t") || c == "\x7f";
        return forbidden ? "\xef\xbf\xbd" : c;
    });
}

std::string base64(std::string_view bytes)
{
    constexpr std::string_view digits =
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    std::string text;
    text.reserve((bytes.size() + 2) / 3 * 4);
    for (std::size_t i = 0; i < bytes.size(); i += 3) {
        std::uint32_t three = 0;
        for (std::size_t k = 0; k < 3; ++k)
            three = three << 8U |
                    (i + k < bytes.size() ? static_cast<unsigned char>(bytes[i + k]) : 0U);
        for (std::size_t k = 0; k < 4; ++k)
            text += k <= bytes.size() - i ? digits[three >> (18 - 6 * k) & 63U] : '=';
    }
    return text;
}

Html& Html::begin(std::string_view tag, const std::vector<Attribute>& attributes)
{
    html_.append("<").append(tag);
    for (const Attribute& attribute : attributes)
        html_.append(" ").append(attribute.name).append("=\"").append(html_text(attribute.value)) +=
            '"';
    html_ += '>';
    open_.emplace_back(tag);
    return *this;
}

Html& Html::end(int elements)
{
    for (; elements > 0; --elements) {
        html_.append("</").append(open_.back()) += '>';
        open_.pop_back();
    }
    return *this;
}

Html& Html::text(std::string_view text)
{
    html_ += html_text(unbroken(text));
    return *this;
}

Html& Html::data(std::string_view text)
{
    begin("bdi").html_ += html_text(text);
    return end();
}

Html& Html::begin_table(std::string_view caption, const std::vector<std::string>& titles,
                        const std::vector<Attribute>& attributes)
{
    begin("div", {{"class", "scroll"},
                  {"tabindex", "0"},
                  {"role", "region"},
                  {"aria-label", std::string{caption}}});
    begin("table", attributes).element("caption", caption);
    if (!titles.empty()) {
        begin("thead").begin("tr");
        for (const std::string& title : titles)
            element("th", title, {{"scope", "col"}});
        end(2);
    }
    return begin("tbody").line();
}

Html& Html::row(std::string_view name, const std::vector<std::string>& cells,
                const std::optional<std::string>& before)
{
    begin("tr");
    if (before)
        element("td", *before);
    begin("th", {{"scope", "row"}}).data(name).end();
    for (const std::string& cell : cells)
        element("td", cell);
    return end().line();
}

Html& Html::element(std::string_view tag, std::string_view text,
                    const std::vector<Attribute>& attributes)
{
    return begin(tag, attributes).text(text).end();
}

Html& Html::raw(std::string_view markup)
{
    html_ += markup;
    return *this;
}

} // namespace fuelring
