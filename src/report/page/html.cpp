// SPDX-License-Identifier: Apache-2.0
#include "report/page/html.hpp"

#include "base/markup.hpp"

namespace fuelring {

std::string html_text(std::string_view text)
{
    return markup_text(text, [](std::string_view c) -> std::string_view {
        if (c == "'")
            return "&#39;";
        const bool forbidden = (is_control(c) && c != "\n" && c != "\t") || c == "\x7f";
        return forbidden ? "\xef\xbf\xbd" : c;
    });
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
