// SPDX-License-Identifier: Apache-2.0
#include "report/page/html.hpp"

#include <doctest/doctest.h>

using namespace fuelring;

TEST_CASE("text stays text between tags and in attributes")
{
    struct Case {
        std::string_view why, text, html;
    };
    const Case cases[] = {
        {"plain", "Larch Way 2", "Larch Way 2"},
        {"a tag", "<b>", "&lt;b&gt;"},
        {"an entity", "&lt;", "&amp;lt;"},
        {"the end of an attribute", "\" onclick='x'", "&quot; onclick=&#39;x&#39;"},
        {"other scripts", "\xd8\xb4", "\xd8\xb4"},
        {"a control character", std::string_view{"a\0b", 3},
         "a\xef\xbf\xbd"
         "b"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        CHECK(html_text(c.text) == c.html);
    }
    Html html;
    html.begin("p", {{"title", "\"<x>"}}).text("<i>").end();
    CHECK(html.str() == "<p title=\"&quot;&lt;x&gt;\">&lt;i&gt;</p>");
}
