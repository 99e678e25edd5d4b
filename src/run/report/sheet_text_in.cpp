// SPDX-License-Identifier: Apache-2.0

// A template of words is read key by key like a configuration, and is whole when it is read: every
// word there, every name in braces known at its place. No sheet then fails for want of a
// word, half-way through a town.
#include "run/report/sheet_text_in.hpp"

#include "base/small_file.hpp"
#include "run/config/config_table.hpp"
#include "run/config/toml_text.hpp"
#include "run/report/english_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <stdexcept>

namespace fuelring {

namespace {

using report::Advice;
using report::AdviceItem;
using report::SheetText;

/// What may stand in a table of the file: its words, and keys of another kind.
std::vector<std::string_view> keys_of_text(std::string_view table)
{
    std::vector<std::string_view> keys;
    if (table.empty())
        return {"decimal", "thousands", "date_style", "months",  "page",
                "job",     "plan",      "figures",    "ground",  "owners",
                "limits",  "brief",     "map",        "sources", "advice"};
    if (table == "advice")
        return {"place", "title", "items"};
    if (table == "advice.items")
        return {"when", "source", "text"};
    if (table == "owners")
        keys = {"classes"};
    if (table == "limits")
        keys = {"before"};
    for (const report::WordSpec& spec : report::word_specs())
        if (spec.table == table)
            keys.push_back(spec.key);
    return keys;
}

void require_braces(const ConfigTable& table, std::string_view key, const std::string& text,
                    std::string_view names)
{
    const std::string fault = report::fault_in_braces(text, names);
    if (!fault.empty())
        throw table.wrong(key, fault);
}

void read_words(const ConfigTable& root, SheetText& text)
{
    std::optional<ConfigTable> table;
    for (const report::WordSpec& spec : report::word_specs()) {
        if (!table || table->name() != spec.table)
            table.emplace(root.required_table(spec.table));
        if (spec.optional && !table->has(spec.key))
            continue;
        std::string word = table->required_text(spec.key);
        require_braces(*table, spec.key, word, spec.names);
        text.words.emplace(fmt::format("{}.{}", spec.table, spec.key), std::move(word));
    }
}

/// A table whose keys are the user's own.
std::map<std::string, std::string, std::less<>>
read_named(const toml::table* table, const std::string& name, const std::filesystem::path& file)
{
    std::map<std::string, std::string, std::less<>> read;
    if (!table)
        return read;
    std::vector<std::string_view> keys;
    for (const auto& [key, node] : *table)
        keys.push_back(key.str());
    const ConfigTable words{*table, name, file, [&keys](std::string_view) { return keys; }};
    for (const std::string_view key : keys) {
        std::string word = words.required_text(key);
        require_braces(words, key, word, "");
        read.emplace(key, std::move(word));
    }
    return read;
}

/// Index of a word among those that a key may have.
template <std::size_t n>
std::size_t choice(const ConfigTable& table, std::string_view key,
                   const std::array<std::string_view, n>& words)
{
    const std::string word = table.required_text(key);
    const auto found = std::find(words.begin(), words.end(), word);
    if (found == words.end())
        throw table.wrong(
            key, fmt::format("{} where one of {} is expected", word, fmt::join(words, ", ")));
    return static_cast<std::size_t>(found - words.begin());
}

AdviceItem read_item(const ConfigTable& table, const SheetText& text)
{
    AdviceItem item;
    item.when = static_cast<report::Occasion>(choice(table, "when", report::occasions));
    item.text = table.required_text("text");
    require_braces(table, "text", item.text, report::advice_names);
    item.source = table.required_text("source");
    if (text.sources.count(item.source) == 0)
        throw table.wrong("source", fmt::format("{} is none of the table [sources]", item.source),
                          "add it there");
    return item;
}

void read_advice(const ConfigTable& root, SheetText& text)
{
    const auto tables = root.tables("advice");
    if (!tables || tables->empty())
        throw root.wrong("advice", "the key is missing: tables [[advice]] are needed");
    for (const ConfigTable& table : *tables) {
        Advice& advice = text.advice.emplace_back();
        advice.place =
            static_cast<report::AdvicePlace>(choice(table, "place", report::advice_places));
        advice.title = table.required_text("title");
        require_braces(table, "title", advice.title, "");
        const auto items = table.tables("items");
        if (!items)
            throw table.wrong("items", "the key is missing: a list of tables is needed");
        for (const ConfigTable& item : *items)
            advice.items.push_back(read_item(item, text));
    }
    std::stable_sort(text.advice.begin(), text.advice.end(),
                     [](const Advice& a, const Advice& b) { return a.place < b.place; });
}

void read_date_style(const ConfigTable& root, SheetText& text)
{
    constexpr std::size_t months_a_year = 12;
    text.date_style = root.required_text("date_style");
    require_braces(root, "date_style", text.date_style, "day month year");
    const auto months = root.texts("months");
    if (!months || months->size() != months_a_year)
        throw root.wrong("months",
                         fmt::format("{} names where {} are expected", months ? months->size() : 0,
                                     months_a_year),
                         "name the months from January to December");
    text.months = *months;
}

SheetText read_text(const toml::table& parsed, const std::filesystem::path& file)
{
    const ConfigTable root{parsed, {}, file, keys_of_text};
    SheetText text;
    text.decimal = root.required_text("decimal");
    text.thousands = root.required_text("thousands");
    read_date_style(root, text);
    read_words(root, text);
    text.owner_classes = read_named(parsed["owners"]["classes"].as_table(), "owners.classes", file);
    text.sources = read_named(parsed["sources"].as_table(), "sources", file);
    const ConfigTable limits = root.required_table("limits");
    const auto cautions = limits.texts("before");
    if (!cautions)
        throw limits.wrong("before", "the key is missing: a list of texts is needed");
    for (const std::string& caution : *cautions)
        require_braces(limits, "before", caution, "");
    text.cautions = *cautions;
    read_advice(root, text);
    return text;
}

} // namespace

SheetText load_sheet_text(const std::filesystem::path& file)
{
    std::string words;
    try {
        words = small_file(file, most_text_bytes);
    } catch (const std::runtime_error& e) {
        throw Error{Failure::usage, std::string{"the words cannot be read: "} + e.what(),
                    file.string(), "name a TOML file with --text (config/texts)"};
    }
    return read_text(parse_toml(words, file), file);
}

SheetText english_sheet_text()
{
    const std::filesystem::path file = "config/texts/english.toml";
    return read_text(parse_toml(std::string{english_text}, file), file);
}

} // namespace fuelring
