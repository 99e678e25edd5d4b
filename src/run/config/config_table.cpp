// SPDX-License-Identifier: Apache-2.0

// Each value is asked for by key and type, and a complaint is made where the value is read, from
// the place that the parser kept. A key must be declared in config_keys.cpp before it can be read:
// a reader that asks for another is a fault of the program, not of the file.
#include "run/config/config_table.hpp"

#include "base/faults.hpp"
#include "base/program/file_pattern.hpp"
#include "base/program/nearest_word.hpp"
#include "io/gdal/setup.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <sstream>
#include <stdexcept>

namespace fuelring {

namespace {

/// No distance, area, weight or amount of money here is larger; sums of such stay exact to the
/// unit.
constexpr double largest_number = 1e12;

std::string_view type_in_words(const toml::node& node)
{
    switch (node.type()) {
    case toml::node_type::table:
        return "a table";
    case toml::node_type::array:
        return "a list";
    case toml::node_type::string:
        return "text";
    case toml::node_type::integer:
        return "a whole number";
    case toml::node_type::floating_point:
        return "a number";
    case toml::node_type::boolean:
        return "true or false";
    default:
        return "a date or time";
    }
}

} // namespace

ConfigTable::ConfigTable(const toml::table& table, std::string name,
                         const std::filesystem::path& file, KeysIn keys_in)
    : table_{table}, name_{std::move(name)}, file_{file}, keys_in_{std::move(keys_in)},
      known_{keys_in_(name_)}
{
    FaultList faults;
    for (const auto& [key, node] : table_) {
        if (std::find(known_.begin(), known_.end(), key.str()) != known_.end())
            continue;
        const std::optional<std::string_view> nearest = nearest_word(key.str(), known_);
        faults.add(wrong(key.str(), "unknown key",
                         nearest ? fmt::format("did you mean {}?", name_of(*nearest))
                                 : fmt::format("known here: {}", fmt::join(known_, ", "))));
    }
    faults.raise();
}

const toml::node* ConfigTable::find(std::string_view key) const
{
    if (std::find(known_.begin(), known_.end(), key) == known_.end())
        throw std::logic_error{fmt::format("{} is read and not declared", name_of(key))};
    return table_.get(key);
}

std::string ConfigTable::name_of(std::string_view key) const
{
    return name_.empty() ? std::string{key} : fmt::format("{}.{}", name_, key);
}

std::string ConfigTable::place(std::string_view key) const
{
    const toml::node* node = table_.get(key);
    const auto line = node ? node->source().begin.line : table_.source().begin.line;
    // The line of a table is that of its heading; a table made up of dotted keys has none.
    return line > 0 ? fmt::format("{}, line {}, {}", file_.string(), line, name_of(key))
                    : fmt::format("{}, {}", file_.string(), name_of(key));
}

Error ConfigTable::wrong(std::string_view key, const std::string& what, std::string remedy) const
{
    return {Failure::usage, what, place(key), std::move(remedy)};
}

Error ConfigTable::expected(std::string_view key, std::string_view what) const
{
    const toml::node* node = find(key);
    if (!node)
        return wrong(key, fmt::format("the key is missing: {} is needed", what));
    return wrong(key, fmt::format("{} where {} is expected", type_in_words(*node), what));
}

std::optional<ConfigTable> ConfigTable::table(std::string_view key) const
{
    const toml::node* node = find(key);
    if (!node)
        return std::nullopt;
    if (!node->is_table())
        throw expected(key, "a table");
    return ConfigTable{*node->as_table(), name_of(key), file_, keys_in_};
}

ConfigTable ConfigTable::required_table(std::string_view key) const
{
    if (const std::optional<ConfigTable> found = table(key))
        return *found;
    throw expected(key, fmt::format("a table [{}]", name_of(key)));
}

std::string ConfigTable::text(std::string_view key) const
{
    return has(key) ? required_text(key) : std::string{};
}

std::string ConfigTable::required_text(std::string_view key) const
{
    const toml::node* node = find(key);
    if (!node || !node->is_string())
        throw expected(key, "text");
    const std::string& value = node->as_string()->get();
    if (value.empty())
        throw wrong(key, "the text is empty");
    if (value.find('\0') != value.npos)
        throw wrong(key, "the text contains a NUL");
    return value;
}

std::string ConfigTable::choice(std::string_view key,
                                std::initializer_list<std::string_view> words) const
{
    const std::string word = has(key) ? required_text(key) : std::string{*words.begin()};
    if (std::find(words.begin(), words.end(), word) != words.end())
        return word;
    std::string list;
    for (const auto* w = words.begin(); w != words.end(); ++w)
        list += fmt::format("{}\"{}\"",
                            w == words.begin()     ? ""
                            : w + 1 == words.end() ? " or "
                                                   : ", ",
                            *w);
    throw wrong(key,
                fmt::format("'{}' is {}", word,
                            words.size() == 2 ? "neither choice" : "none of the choices"),
                "write " + list);
}

std::string ConfigTable::required_path(std::string_view key) const
{
    return absolute(required_text(key));
}

std::string ConfigTable::absolute(const std::string& path) const
{
    if (is_connection_string(path))
        return path;
    const std::filesystem::path folder = std::filesystem::absolute(file_).parent_path();
    return (folder / path).lexically_normal().string();
}

RasterFiles ConfigTable::required_raster(std::string_view key) const
{
    const toml::node* node = find(key);
    const bool is_list = node && node->is_array();
    const std::vector<std::string> wished = text_or_texts(key);
    RasterFiles files;
    for (const std::string& text : wished) {
        const std::string path = absolute(text);
        const bool pattern = !is_connection_string(path) && is_file_pattern(path);
        std::vector<std::string> found = pattern ? files_of_pattern(path) : std::vector{path};
        if (found.empty())
            throw Error{Failure::input, "no file has a name of the pattern " + path, place(key),
                        "* stands for any letters, ? for one"};
        for (std::string& file : found)
            if (std::find(files.tiles.begin(), files.tiles.end(), file) == files.tiles.end())
                files.tiles.push_back(std::move(file));
    }
    files.path = is_list ? fmt::format("{} and {} more", files.tiles[0], files.tiles.size() - 1)
                         : absolute(wished.front());
    if (files.tiles.size() == 1) {
        files.path = files.tiles.front();
        files.tiles.clear();
    }
    return files;
}

std::optional<std::string> ConfigTable::date(std::string_view key) const
{
    const toml::node* node = find(key);
    if (!node)
        return std::nullopt;
    if (!node->is_date())
        return required_text(key);
    std::ostringstream day;
    day << node->as_date()->get();
    return day.str();
}

bool ConfigTable::flag(std::string_view key, bool otherwise) const
{
    const toml::node* node = find(key);
    if (node && !node->is_boolean())
        throw expected(key, "true or false");
    return node ? node->as_boolean()->get() : otherwise;
}

void ConfigTable::require_sane(std::string_view key, double value) const
{
    if (!std::isfinite(value))
        throw wrong(key, "a number that is not finite");
    if (std::abs(value) > largest_number)
        throw wrong(key, fmt::format("{} is beyond what is reckoned with", value),
                    fmt::format("give a number of at most {}", largest_number));
}

std::optional<double> ConfigTable::number(std::string_view key) const
{
    const toml::node* node = find(key);
    if (!node)
        return std::nullopt;
    const std::optional<double> value = node->is_number() ? node->value<double>() : std::nullopt;
    if (!value)
        throw expected(key, "a number");
    require_sane(key, *value);
    return value;
}

double ConfigTable::number_from_0(std::string_view key, double otherwise) const
{
    const double value = number(key).value_or(otherwise);
    if (value < 0)
        throw wrong(key, fmt::format("{} where a number from 0 up is expected", value));
    return value;
}

std::optional<std::int64_t> ConfigTable::whole(std::string_view key, std::int64_t least,
                                               std::int64_t most) const
{
    const toml::node* node = find(key);
    if (!node)
        return std::nullopt;
    const std::string range = fmt::format("a whole number from {} to {}", least, most);
    if (!node->is_integer())
        throw expected(key, range);
    const std::int64_t value = node->as_integer()->get();
    if (value < least || value > most)
        throw wrong(key, fmt::format("{} where {} is expected", value, range));
    return value;
}

const toml::array* ConfigTable::list(std::string_view key, std::string_view what) const
{
    const toml::node* node = find(key);
    if (node && (!node->is_array() || node->as_array()->empty()))
        throw expected(key, fmt::format("a list of {}, not empty,", what));
    return node ? node->as_array() : nullptr;
}

std::optional<std::vector<double>> ConfigTable::numbers(std::string_view key) const
{
    const toml::array* list = this->list(key, "numbers");
    if (!list)
        return std::nullopt;
    std::vector<double> values;
    for (const toml::node& item : *list) {
        const std::optional<double> value = item.is_number() ? item.value<double>() : std::nullopt;
        if (!value)
            throw wrong(key, fmt::format("{} in a list of numbers", type_in_words(item)));
        require_sane(key, *value);
        values.push_back(*value);
    }
    return values;
}

std::optional<std::vector<std::string>> ConfigTable::texts(std::string_view key) const
{
    const toml::array* list = this->list(key, "texts");
    if (!list)
        return std::nullopt;
    std::vector<std::string> values;
    for (const toml::node& item : *list) {
        if (!item.is_string())
            throw wrong(key, fmt::format("{} in a list of texts", type_in_words(item)));
        values.push_back(item.as_string()->get());
    }
    return values;
}

std::vector<std::string> ConfigTable::text_or_texts(std::string_view key) const
{
    const toml::node* node = find(key);
    return node && node->is_array() ? texts(key).value() : std::vector{required_text(key)};
}

std::optional<std::vector<ConfigTable>> ConfigTable::tables(std::string_view key) const
{
    const toml::node* node = find(key);
    if (!node)
        return std::nullopt;
    if (!node->is_array())
        throw expected(key, "a list of tables");
    std::vector<ConfigTable> found;
    for (const toml::node& item : *node->as_array()) {
        if (!item.is_table())
            throw wrong(key, fmt::format("{} in a list of tables", type_in_words(item)));
        found.emplace_back(*item.as_table(), name_of(key), file_, keys_in_);
    }
    return found;
}

bool ConfigTable::is_empty_list(std::string_view key) const
{
    const toml::node* node = find(key);
    if (node && !node->is_array())
        throw expected(key, "a list");
    return !node || node->as_array()->empty();
}

} // namespace fuelring
