// SPDX-License-Identifier: Apache-2.0
#include <fuelring/error.hpp>
#include <fuelring/statistics/accuracy.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <stdexcept>

namespace fuelring {

namespace {

constexpr const char* where = "the confusion matrix";

/// Index of a class, or the number of classes.
std::size_t index_of(const std::vector<std::string>& classes, const std::string& name)
{
    return static_cast<std::size_t>(std::find(classes.begin(), classes.end(), name) -
                                    classes.begin());
}

void require_names(const std::vector<std::string>& classes)
{
    for (std::size_t k = 0; k < classes.size(); ++k) {
        if (classes[k].empty())
            throw Error{Failure::input, fmt::format("class {} has no name", k + 1), where};
        if (index_of(classes, classes[k]) != k)
            throw Error{Failure::input, fmt::format("class {} appears twice", classes[k]), where};
    }
}

} // namespace

std::int64_t ConfusionMatrix::at(std::size_t map, std::size_t reference) const
{
    if (map >= size() || reference >= size())
        throw std::out_of_range{
            fmt::format("ConfusionMatrix: class {} of {}", std::max(map, reference), size())};
    return counts.at(map * size() + reference);
}

std::int64_t ConfusionMatrix::points(std::size_t map) const
{
    (void)at(map, size() - 1);
    const auto row = counts.begin() + static_cast<std::ptrdiff_t>(map * size());
    return std::accumulate(row, row + static_cast<std::ptrdiff_t>(size()), std::int64_t{0});
}

void ConfusionMatrix::require_valid() const
{
    if (counts.size() != size() * size())
        throw Error{Failure::input,
                    fmt::format("{} counts for {} classes, which need {}", counts.size(), size(),
                                size() * size()),
                    where, "give a row and a column for each class"};
    require_names(classes);
    for (std::size_t k = 0; k < counts.size(); ++k)
        if (counts[k] < 0 || counts[k] > most_points)
            throw Error{Failure::input,
                        fmt::format("{} points mapped as {} that are {}; a count lies between 0 "
                                    "and {}",
                                    counts[k], classes[k / size()], classes[k % size()],
                                    most_points),
                        where};
    if (std::all_of(counts.begin(), counts.end(), [](std::int64_t n) { return n == 0; }))
        throw Error{Failure::input, "it has no points", where};
}

std::vector<double> areas_in_order(const ConfusionMatrix& matrix,
                                   const std::vector<MappedClass>& mapped)
{
    std::vector<double> areas(matrix.size());
    std::vector<std::string> seen;
    for (const MappedClass& m : mapped) {
        if (!(m.area >= 0) || !std::isfinite(m.area))
            throw Error{Failure::input,
                        fmt::format("an area of {} is mapped as {}", m.area, m.name)};
        if (index_of(seen, m.name) != seen.size())
            throw Error{Failure::input, fmt::format("mapped class {} appears twice", m.name)};
        seen.push_back(m.name);
        const std::size_t k = index_of(matrix.classes, m.name);
        if (k == matrix.size() && m.area > 0)
            throw Error{Failure::input, fmt::format("mapped class {} is missing", m.name), where,
                        "name classes alike in map and matrix, or add its row and column"};
        if (k < matrix.size())
            areas[k] = m.area;
    }
    return areas;
}

} // namespace fuelring
