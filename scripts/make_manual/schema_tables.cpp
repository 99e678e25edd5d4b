// SPDX-License-Identifier: Apache-2.0

// The schemas in config/schema as tables for people. An object in place becomes rows with a path
// (`rings.near_m`); what has a name of its own has a heading, to which its uses link.
#include "manual.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <fstream>
#include <string>

namespace fuelring::manual {

namespace {

using nlohmann::ordered_json;

ordered_json schema_of(const char* file)
{
    std::ifstream stream{std::string{FUELRING_SCHEMAS "/"} + file};
    if (!stream)
        throw Error{Failure::usage, "the schema could not be read", file};
    return ordered_json::parse(stream);
}

std::string after_last(const std::string& text, char separator)
{
    return text.substr(text.rfind(separator) + 1);
}

std::string word_of_type(const std::string& type)
{
    if (type == "string")
        return "text";
    if (type == "integer")
        return "whole number";
    if (type == "boolean")
        return "true or false";
    return type == "array" ? "list" : type;
}

std::string word_of_types(const ordered_json& type)
{
    if (type.is_string())
        return word_of_type(type);
    std::string words;
    for (const ordered_json& one : type)
        words += (words.empty() ? "" : " or ") + word_of_type(one);
    return words;
}

bool is_null(const ordered_json& node)
{
    return node.contains("type") && node.at("type") == "null";
}

/// What stands for a value that may be null, without the null; else the value itself.
const ordered_json& without_null(const ordered_json& node)
{
    if (node.contains("anyOf") && node.at("anyOf").size() == 2 && is_null(node.at("anyOf").at(1)))
        return node.at("anyOf").at(0);
    return node;
}

std::string kind_of(const ordered_json& node)
{
    if (const ordered_json& inner = without_null(node); &inner != &node)
        return kind_of(inner) + " or null";
    if (node.contains("$ref")) {
        const std::string name = after_last(node.at("$ref"), '/');
        return fmt::format("[{}](#{})", name, name);
    }
    if (node.contains("const"))
        return "`" + node.at("const").dump() + "`";
    if (node.contains("enum")) {
        std::string words;
        for (const ordered_json& one : node.at("enum"))
            words += fmt::format("{}`{}`", words.empty() ? "" : ", ", one.get<std::string>());
        return words;
    }
    if (node.contains("items"))
        return "list of " + kind_of(node.at("items"));
    return node.contains("type") ? word_of_types(node.at("type")) : "any";
}

/// "^homes_helped_[0-9.e+-]+$" as homes_helped_N.
std::string name_of_pattern(std::string pattern)
{
    constexpr std::string_view number = "[0-9.e+-]+";
    pattern.replace(pattern.find(number), number.size(), "N");
    return pattern.substr(1, pattern.size() - 2);
}

void add_rows(const ordered_json& node, const std::string& path, std::string& rows);

void add_row(const std::string& key, const ordered_json& node, bool optional, std::string& rows)
{
    std::string what = sentence(node.value("description", std::string{}));
    if (optional)
        what += " May be absent.";
    rows += fmt::format("| `{}` | {} | {} |\n", key, kind_of(node), what);
    const ordered_json& inner = without_null(node);
    add_rows(inner.contains("items") ? inner.at("items") : inner,
             key + (inner.contains("items") ? "[]." : "."), rows);
}

/// Rows for what an object holds; nothing for what has a heading of its own.
void add_rows(const ordered_json& node, const std::string& path, std::string& rows)
{
    const ordered_json required = node.value("required", ordered_json::array());
    const auto is_required = [&](const std::string& key) {
        return std::find(required.begin(), required.end(), key) != required.end();
    };
    if (node.contains("anyOf"))
        for (const ordered_json& one : node.at("anyOf"))
            add_rows(one, path, rows);
    if (node.contains("properties"))
        for (const auto& [key, value] : node.at("properties").items())
            add_row(path + key, value, !is_required(key), rows);
    if (node.contains("patternProperties"))
        for (const auto& [pattern, value] : node.at("patternProperties").items())
            add_row(path + name_of_pattern(pattern), value, false, rows);
    if (node.contains("additionalProperties") && node.at("additionalProperties").is_object()) {
        const ordered_json& value = node.at("additionalProperties");
        rows += fmt::format("| `{}*` | {} | By name. |\n", path, kind_of(value));
    }
}

std::string parts_of(const ordered_json& whole)
{
    std::string parts;
    for (const ordered_json& part : whole.at("allOf"))
        parts += (parts.empty() ? "" : ", ") + kind_of(part);
    return parts;
}

} // namespace

std::string schema_tables(const char* file, const char* heading)
{
    const ordered_json schema = schema_of(file);
    std::string page;
    for (const auto& [name, node] : schema.at("$defs").items()) {
        page += fmt::format("{}### {}{}\n\n{}\n", page.empty() ? "" : "\n", heading, name,
                            sentence(node.at("description").get<std::string>()));
        if (node.contains("allOf"))
            page += fmt::format("\nAll of {}.\n", parts_of(node));
        std::string rows;
        add_rows(node, {}, rows);
        if (!rows.empty())
            page += "\n| key | value | what it is |\n|---|---|---|\n" + rows;
    }
    return page;
}

} // namespace fuelring::manual
