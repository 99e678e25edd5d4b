// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/geopackage/gpkg_file.hpp"

#include <cmath>
#include <functional>
#include <optional>
#include <string>
#include <type_traits>
#include <vector>

namespace fuelring {

/// Decimals of numbers in CSV files; a GeoPackage carries full doubles.
inline constexpr int decimals_of_metres = 3; ///< areas in m2, distances and coordinates in m
inline constexpr int decimals_of_fractions = 6;
inline constexpr int decimals_of_exposure = 4; ///< points
inline constexpr int decimals_of_degrees = 8;  ///< longitude and latitude
inline constexpr int decimals_of_slopes = 3;   ///< per cent, degrees of aspect, factors
inline constexpr int decimals_of_hectares = 4;
inline constexpr int decimals_of_money = 2;

/// One column of a table of Row: the one place that says what it is called, of what type it is and
/// what stands in it. CSV, .csvt and GeoPackage are all written from it.
template <typename Row>
struct Column {
    std::string name;
    GpkgField::Type type = GpkgField::Type::real;
    int decimals = 0; ///< of real numbers in the CSV
    std::function<GpkgValue(const Row&)> value;
};

/// A number as a cell; null where it is missing or not finite.
template <typename Number>
GpkgValue number_or_null(const std::optional<Number>& number)
{
    if constexpr (std::is_floating_point_v<Number>)
        return number && std::isfinite(*number) ? GpkgValue{*number} : GpkgValue{};
    else
        return number ? GpkgValue{std::int64_t{*number}} : GpkgValue{};
}

template <typename Row>
Column<Row> text_column(std::string name, std::function<std::string(const Row&)> text)
{
    return {std::move(name), GpkgField::Type::text, 0,
            [text = std::move(text)](const Row& row) { return text_or_null(text(row)); }};
}

template <typename Row>
Column<Row> integer_column(std::string name,
                           std::function<std::optional<std::int64_t>(const Row&)> number)
{
    return {std::move(name), GpkgField::Type::integer, 0,
            [number = std::move(number)](const Row& row) { return number_or_null(number(row)); }};
}

template <typename Row>
Column<Row> real_column(std::string name, int decimals,
                        std::function<std::optional<double>(const Row&)> number)
{
    return {std::move(name), GpkgField::Type::real, decimals,
            [number = std::move(number)](const Row& row) { return number_or_null(number(row)); }};
}

template <typename Row>
std::vector<GpkgField> fields_of(const std::vector<Column<Row>>& columns)
{
    std::vector<GpkgField> fields;
    for (const Column<Row>& column : columns)
        fields.push_back({column.name, column.type});
    return fields;
}

template <typename Row>
std::vector<GpkgValue> values_of(const std::vector<Column<Row>>& columns, const Row& row)
{
    std::vector<GpkgValue> values;
    values.reserve(columns.size());
    for (const Column<Row>& column : columns)
        values.push_back(column.value(row));
    return values;
}

} // namespace fuelring
