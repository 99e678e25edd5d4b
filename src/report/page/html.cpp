// SPDX-License-Identifier: Apache-2.0
#include "report/page/html.hpp"

namespace fuelring {

std::string html_text(std::string_view text)
{
    std::string escaped;
    escaped.reserve(text.size() + text.size() / 8);
    for (const char c : text) {
        const auto code = static_cast<unsigned char>(c);
        switch (c) {
        case '&':
            escaped += "&amp;";
            break;
        case '<':
            escaped += "&lt;";
            break;
        case '>':
            escaped += "&gt;";
            break;
        case '"':
            escaped += "&quot;";
            break;
        case '\'':
            escaped += "&#39;";
            break;
        default:
            if ((code < 0x20 && c != '\n' && c != '\t') || code == 0x7f)
                escaped += "\xef\xbf\xbd";
            else
                escaped += c;
        }
    }
    return escaped;
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

Html& Html::end()
{
    html_.append("</").append(open_.back()) += '>';
    open_.pop_back();
    return *this;
}

Html& Html::text(std::string_view text)
{
    html_ += html_text(text);
    return *this;
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
