// SPDX-License-Identifier: Apache-2.0
#include "io/community/owner_class.hpp"
#include "io/vector/coordinate_text.hpp"
#include "run/begin/guesses.hpp"
#include "run/begin/words.hpp"

#include <algorithm>
#include <initializer_list>

namespace fuelring {

namespace {

/// The first column whose name hints at it and that does.
template <typename Does>
std::string first_column(const FoundLayer& layer, std::initializer_list<std::string_view> hints,
                         Does&& does)
{
    for (const FoundColumn& column : layer.columns)
        if (hints_at(column.name, hints) && does(column))
            return column.name;
    return {};
}

bool is_full(const FoundLayer& layer, const FoundColumn& column)
{
    return column.filled == layer.looked_at;
}

bool is_text(const FoundColumn& column)
{
    return column.filled > 0 && !column.all_numbers;
}

bool same_name(const std::string& column, std::string_view name)
{
    return small_letters(column) == name;
}

} // namespace

std::string id_column(const FoundLayer& layer)
{
    const auto does = [&](const FoundColumn& c) { return c.unique && is_full(layer, c); };
    for (const auto hints :
         {std::initializer_list<std::string_view>{"=id", "=egid", "=uuid", "=gid", "=pin", "=roll",
                                                  "=objectid"},
          std::initializer_list<std::string_view>{"id", "key", "ref", "code", "structure", "build",
                                                  "bldg", "number", "nr", "no"}})
        if (std::string name = first_column(layer, hints, does); !name.empty())
            return name;
    return {};
}

std::vector<std::string> address_columns_of(const FoundLayer& layer)
{
    const auto whole = [](const FoundColumn& c) { return c.with_letters_and_digits; };
    if (std::string name = first_column(
            layer, {"address", "addr", "adresse", "adress", "fulladd", "full", "civic", "situs"},
            whole);
        !name.empty())
        return {name};
    const std::string street = first_column(
        layer, {"street", "road", "strasse", "rue", "str", "st", "way", "voie"}, is_text);
    const std::string number =
        first_column(layer, {"=no", "=nr", "num", "house", "haus", "=hnr", "civic", "unit"},
                     [](const FoundColumn& c) { return c.filled > 0; });
    if (!street.empty() && !number.empty() && street != number) {
        for (const FoundColumn& column : layer.columns) // in the order of the file
            if (column.name == street)
                return {street, number};
            else if (column.name == number)
                return {number, street};
    }
    if (std::string name = first_column(layer, {"text", "label", "name", "line"}, whole);
        !name.empty())
        return {name};
    const auto any = std::find_if(layer.columns.begin(), layer.columns.end(), whole);
    if (any != layer.columns.end())
        return {any->name};
    return street.empty() ? std::vector<std::string>{} : std::vector{street};
}

std::string name_column(const FoundLayer& layer)
{
    const auto does = [](const FoundColumn& c) {
        return is_text(c) && 2 * c.different > static_cast<std::size_t>(c.filled);
    };
    if (std::string name = first_column(layer,
                                        {"name", "nom", "bezeichnung", "label", "title", "neighbo",
                                         "district", "quart", "zone", "ward", "hood"},
                                        does);
        !name.empty())
        return name;
    const auto any = std::find_if(layer.columns.begin(), layer.columns.end(), does);
    return any == layer.columns.end() ? std::string{} : any->name;
}

std::string owner_column(const FoundLayer& layer)
{
    return first_column(
        layer, {"own", "tenure", "eigent", "propri", "besitz", "holder", "class", "type"},
        [](const FoundColumn& c) { return is_text(c) && c.different <= most_owner_classes; });
}

std::optional<std::array<std::string, 2>> coordinate_columns(const FoundLayer& layer)
{
    const auto named = [&](std::string_view name) -> const FoundColumn* {
        for (const FoundColumn& column : layer.columns)
            if (same_name(column.name, name) && column.filled > 0 && column.all_coordinates)
                return &column;
        return nullptr;
    };
    for (const auto& [x, y] : usual_coordinate_columns)
        if (const auto* a = named(x), *b = named(y); a && b)
            return std::array{a->name, b->name};
    const auto numbers = [](const FoundColumn& c) { return c.filled > 0 && c.all_coordinates; };
    const std::string x = first_column(
        layer, {"=x", "east", "rechts", "=ost", "lon", "lng", "este", "xcoord", "=e"}, numbers);
    const std::string y = first_column(
        layer, {"=y", "north", "hoch", "nord", "lat", "norte", "ycoord", "=n"}, numbers);
    if (x.empty() || y.empty() || x == y)
        return std::nullopt;
    return std::array{x, y};
}

} // namespace fuelring
