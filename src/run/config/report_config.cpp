// SPDX-License-Identifier: Apache-2.0
#include "base/utf8.hpp"
#include "run/config/config_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <utility>

namespace fuelring {

namespace {

constexpr std::size_t most_characters = 300;

void require_short(const ConfigTable& table, const char* key, const std::string& words)
{
    if (characters_in(words) > most_characters)
        throw table.wrong(key, fmt::format("a text of {} characters", characters_in(words)),
                          fmt::format("give at most {}: sheets have one page", most_characters));
}

ContextSource read_context_table(const ConfigTable& table)
{
    // Member by member: GCC 12 frees what a braced base holds twice where a later member throws.
    ContextSource source;
    source.path = table.required_path("path");
    source.layer = table.text("layer");
    source.where = table.text("where");
    source.crs = table.text("crs");
    source.kind = table.choice("kind", {"streets", "paths", "railway", "water"});
    source.credit = table.text("credit");
    require_short(table, "credit", source.credit);
    return source;
}

} // namespace

void read_report(const ConfigTable& root, ReportSettings& settings)
{
    constexpr std::size_t longest_currency = 8;
    const auto table = root.table("report");
    if (!table)
        return;
    settings.currency = table->text("currency");
    const auto is_control = [](unsigned char c) { return c < 0x20 || c == 0x7F; };
    std::string shown = settings.currency;
    std::replace_if(shown.begin(), shown.end(), is_control, '?');
    if (characters_in(shown) > longest_currency || shown != settings.currency)
        throw table->wrong(
            "currency", fmt::format("'{}' is no currency", shown),
            fmt::format("give at most {} characters, such as CAD or $", longest_currency));
    settings.contact = table->text("contact");
    settings.visit = table->text("visit");
    for (const auto& [key, words] :
         {std::pair{"contact", settings.contact}, std::pair{"visit", settings.visit},
          std::pair{"credit", table->text("credit")}})
        require_short(*table, key, words);
    if (table->has("logo"))
        settings.logo = table->required_path("logo");
    settings.credit = table->text("credit");
    for (const ConfigTable& layer : table->tables("context").value_or(std::vector<ConfigTable>{}))
        settings.context.push_back(read_context_table(layer));
    if (!table->has("backdrop"))
        return;
    settings.backdrop = table->required_path("backdrop");
    if (settings.credit.empty())
        throw table->wrong("backdrop", "a backdrop needs a credit line",
                           "say whose it is, as its licence asks: credit = \"Photograph: ...\"");
}

} // namespace fuelring
