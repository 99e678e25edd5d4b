// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/geopackage/gpkg_file.hpp"

#include <fmt/format.h>

#include <cmath>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <type_traits>
#include <utility>
#include <vector>

namespace fuelring {

/// What the values of a column are measured in, and their decimals in a CSV file and a spreadsheet;
/// a GeoPackage carries full doubles.
struct Unit {
    const char* words = ""; ///< as a heading shows it; empty for counts, texts and factors
    int decimals = 0;
};
/// Eight decimals of a degree are about a millimetre on the ground.
namespace unit {
inline constexpr Unit none;
inline constexpr Unit m{"m", 3}, m2{"m²", 3};
inline constexpr Unit ha{"ha", 4}, neighbourhood_ha{"ha", 3}, planned_ha{"ha", 6};
inline constexpr Unit share{"share 0 to 1", 6}, percent{"%", 3};
inline constexpr Unit of_100{"0 to 100", 4}, points{"points", 4}; ///< of exposure, of differences
inline constexpr Unit bearing{"degrees", 3}, lon_lat{"degrees", 8};
inline constexpr Unit people_count{"", 2};
inline constexpr Unit factor{"", 3}, multiplier{"", 4}, money{"", 2};
inline constexpr Unit year_amount{"", 7}; ///< money, or hectares to the thousandth of a metre
} // namespace unit

/// What a column is called and what stands in it, without the values.
/// Titles stand in spreadsheets and on pages, names in files; both may hold {} while they are
/// patterns.
struct ColumnHead {
    std::string name;
    GpkgField::Type type = GpkgField::Type::text;
    int decimals = 0; ///< of real numbers
    std::string unit, title;
    std::string help; ///< for the manual; empty: what the column before it says holds here too

    /// For people: "Conifer 1.5 to 10 m (m²)".
    std::string heading() const { return unit.empty() ? title : title + " (" + unit + ")"; }
};

/// The columns of an output file, for the manual.
struct FileColumns {
    std::string file;
    std::vector<ColumnHead> columns;
};

/// A number that was written before and stays as it is.
/// Such as a cost, whose decimals are its author's.
struct Digits {
    std::string text;
};

/// How a value becomes a cell: texts and digits stay, an empty one is null; all whole numbers are
/// of 64 bits.
inline GpkgValue cell_of(std::string text)
{
    return text_or_null(std::move(text));
}
inline GpkgValue cell_of(Digits digits)
{
    return text_or_null(std::move(digits.text));
}
/// Null where the number is missing or not finite.
template <typename Number>
GpkgValue cell_of(const std::optional<Number>& number)
{
    if constexpr (std::is_floating_point_v<Number>)
        return number && std::isfinite(*number) ? GpkgValue{*number} : GpkgValue{};
    else
        return number ? GpkgValue{static_cast<std::int64_t>(*number)} : GpkgValue{};
}
template <typename Number>
requires std::is_arithmetic_v<Number> GpkgValue cell_of(Number number)
{
    return cell_of(std::optional{number});
}

/// Law: cell_of(value) is null or of this type; only Digits are a text in a column of real numbers.
/// Requires: a whole number that may be missing is a std::optional<std::int64_t>.
template <typename Value>
constexpr GpkgField::Type type_of_cell()
{
    if constexpr (std::is_convertible_v<Value, std::string>)
        return GpkgField::Type::text;
    else if constexpr (std::is_integral_v<Value> ||
                       std::is_same_v<Value, std::optional<std::int64_t>>)
        return GpkgField::Type::integer;
    else
        return GpkgField::Type::real;
}

/// One column of a table of Row: the one place that says everything of it. Its type is that of its
/// values; CSV, .csvt, GeoPackage, spreadsheet and manual are all written from it.
/// Threads: of() may be called from several, where `figure` may.
///
///     const std::vector<Column<Row>> columns{
///         {"area_m2", "Area", unit::m2, &Row::area_m2, "with the open cells that join it"},
///         {"x", "East", unit::m, [](const Row& r) { return r.at.x; }}};
///     write_csv(path, columns, rows, bom);
template <typename Row>
struct Column : ColumnHead {
    std::function<GpkgValue(const Row&, std::size_t)> value;
    std::size_t place = 0; ///< of its label, in a group of columns

    /// `figure`: a member of Row, or a function of a row and, in a group, of the label's place.
    template <typename Figure>
    Column(std::string name_, std::string title_, Unit measured_in, Figure figure,
           std::string help_ = {})
        : ColumnHead{std::move(name_),     {},
                     measured_in.decimals, measured_in.words,
                     std::move(title_),    std::move(help_)}
    {
        if constexpr (std::is_invocable_v<Figure, const Row&, std::size_t>)
            set([figure](const Row& row, std::size_t k) { return figure(row, k); });
        else
            set([figure](const Row& row, std::size_t) { return std::invoke(figure, row); });
    }

    /// The value of a row; null where it is not known.
    GpkgValue of(const Row& row) const { return value(row, place); }

private:
    template <typename Of>
    void set(Of of)
    {
        type = type_of_cell<std::invoke_result_t<Of, const Row&, std::size_t>>();
        value = [of](const Row& row, std::size_t k) { return cell_of(of(row, k)); };
    }
};

/// What columns of a group differ by: in their names, and in their titles.
/// So "conifer_m2_{}" with the label {"10_30m", "10 to 30 m"} is the column conifer_m2_10_30m.
struct Label {
    std::string name, title;
};
using Labels = std::vector<Label>;
/// Of columns that are there once, or not at all.
/// Law: as a group's labels, one pass without a text to put in, or none.
inline Labels when(bool present)
{
    return Labels(present ? 1 : 0);
}

/// Columns that are repeated, all of them, for each label, which stands for {} in their names.
template <typename Row>
struct ColumnGroup {
    Labels labels;
    std::vector<Column<Row>> columns;
};

/// Law: groups in their order, in each the labels, and for each label all of its columns; `place`
/// of a column is the number of its label in the group.
template <typename Row>
std::vector<Column<Row>> laid_out(const std::vector<ColumnGroup<Row>>& groups)
{
    std::vector<Column<Row>> all;
    for (const ColumnGroup<Row>& group : groups)
        for (std::size_t k = 0; k < group.labels.size(); ++k)
            for (const Column<Row>& pattern : group.columns) {
                Column<Row>& column = all.emplace_back(pattern);
                column.name = fmt::format(fmt::runtime(pattern.name), group.labels[k].name);
                column.title = fmt::format(fmt::runtime(pattern.title), group.labels[k].title);
                column.place = k;
            }
    return all;
}

template <typename Row>
std::vector<ColumnHead> heads_of(const std::vector<Column<Row>>& columns)
{
    return {columns.begin(), columns.end()};
}

/// In the order of the columns.
template <typename Row>
std::vector<GpkgValue> values_of(const std::vector<Column<Row>>& columns, const Row& row)
{
    std::vector<GpkgValue> values;
    values.reserve(columns.size());
    for (const Column<Row>& column : columns)
        values.push_back(column.of(row));
    return values;
}

/// Adds a layer of `count` rows: row(k) gives the k-th, wkb(k) its shape, empty for none.
/// Throws: Error{output}.
template <typename Row, typename RowAt, typename WkbAt>
void add_layer(GpkgFile& file, const std::string& name, GpkgFile::Shape shape,
               const std::vector<Column<Row>>& columns, std::size_t count, RowAt row, WkbAt wkb)
{
    std::vector<GpkgField> fields;
    for (const Column<Row>& column : columns)
        fields.push_back({column.name, column.type, column.heading()});
    file.begin_layer(name, shape, fields);
    for (std::size_t k = 0; k < count; ++k)
        file.add_row(values_of<Row>(columns, row(k)), wkb(k));
}

/// Less than this is rounding: no figure is divided by it.
namespace least_divisor {
inline constexpr double points = 1e-9;
inline constexpr double ha = 1e-10;
inline constexpr double m2 = 1e-6;
} // namespace least_divisor

/// Empty where one of them is unknown, or `of` is no more than `least`.
inline std::optional<double> ratio(std::optional<double> part, double of, double least)
{
    return part && of > least ? std::optional{*part / of} : std::nullopt;
}

} // namespace fuelring
