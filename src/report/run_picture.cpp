// SPDX-License-Identifier: Apache-2.0

// Tables are asked by the names of columns: a run of another version may have more of them, or
// fewer.
#include "report/run_picture.hpp"

#include <fuelring/error.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

namespace fuelring {

const PictureColumn* PictureTable::find(std::string_view name) const
{
    const auto found = std::find_if(columns.begin(), columns.end(),
                                    [&](const PictureColumn& c) { return c.name == name; });
    return found == columns.end() ? nullptr : &*found;
}

const PictureColumn& PictureTable::at(std::string_view name) const
{
    if (const PictureColumn* column = find(name))
        return *column;
    throw Error{Failure::input,
                "the run's tables lack the column " + std::string{name},
                {},
                "run fuelring map again"};
}

double PictureTable::number(std::string_view name, std::size_t row) const
{
    const PictureColumn* column = find(name);
    return column && row < column->numbers.size() ? column->numbers[row]
                                                  : std::numeric_limits<double>::quiet_NaN();
}

std::string PictureTable::text(std::string_view name, std::size_t row) const
{
    const PictureColumn* column = find(name);
    return column && row < column->texts.size() ? column->texts[row] : std::string{};
}

PictureSquares PictureSquares::halved() const
{
    PictureSquares half{2 * side, (cols + 1) / 2, (rows + 1) / 2, {}};
    half.values.assign(static_cast<std::size_t>(half.cols * half.rows), 0);
    for (std::int64_t row = 0; row < rows; ++row)
        for (std::int64_t col = 0; col < cols; ++col)
            half.values[static_cast<std::size_t>(row / 2 * half.cols + col / 2)] +=
                values[static_cast<std::size_t>(row * cols + col)];
    return half;
}

Box box_of_measured(const PictureLayer& structures, std::span<const std::size_t> rows)
{
    Box all = Box::nothing();
    Box measured = Box::nothing();
    for (const std::size_t row : rows) {
        const bool is_measured = !std::isnan(structures.table.number("exposure", row));
        for (const Loop& loop : structures.shapes[row])
            for (const Point p : loop) {
                all.take_in(p);
                if (is_measured)
                    measured.take_in(p);
            }
    }
    return measured.min.x <= measured.max.x ? measured : all;
}

std::optional<std::size_t> neighbourhood_row(const RunPicture& picture, std::string_view name)
{
    const std::vector<std::string>& names = picture.neighbourhoods.table.at("neighbourhood").texts;
    const auto found = std::find(names.begin(), names.end(), name);
    if (found == names.end())
        return std::nullopt;
    return static_cast<std::size_t>(found - names.begin());
}

std::string currency_of(const RunPicture& picture)
{
    return picture.manifest.value(nlohmann::json::json_pointer{"/configuration/report/currency"},
                                  std::string{});
}

} // namespace fuelring
