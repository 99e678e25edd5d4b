// SPDX-License-Identifier: Apache-2.0
#include "sensitivity/class_confusion.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

#include <string_view>

namespace fuelring {

namespace {

/// The class that a matrix names.
ClassIndex class_of(const std::string& name, const FuelClassTable& table, const std::string& path)
{
    for (ClassIndex c = 1; c < table.rows().size(); ++c)
        if (table.is_listed(c) &&
            (table[c].label == name || std::to_string(table[c].code) == name)) {
            if (table[c].group == FuelGroup::unmapped)
                throw Error{Failure::usage, fmt::format("class '{}' is unmapped", name), path,
                            "leave it out: what is not mapped is not known"};
            return c;
        }
    throw Error{Failure::usage, fmt::format("class '{}' is not in the class table", name), path,
                "name classes by the labels or codes of inputs.fuel.classes"};
}

} // namespace

std::vector<std::int32_t> shares_of(const FuelClassTable& classes)
{
    std::vector<std::int32_t> shares;
    for (const FuelClass& row : classes.rows())
        shares.push_back(row.conifer_share);
    return shares;
}

std::vector<std::int32_t> shares_in(const FuelClassTable& other, const FuelClassTable& classes,
                                    const std::string& path)
{
    std::vector<std::int32_t> shares = shares_of(classes);
    for (ClassIndex c = 0; c < classes.rows().size(); ++c) {
        if (!classes.is_listed(c))
            continue;
        const auto at = other.find(classes[c].code);
        if (!at ||
            (other[*at].group == FuelGroup::unmapped) != (classes[c].group == FuelGroup::unmapped))
            throw Error{Failure::usage,
                        fmt::format("code {} is {} here and {} in the table of the run",
                                    classes[c].code,
                                    at ? name_of(other[*at].group) : std::string_view{"missing"},
                                    name_of(classes[c].group)),
                        path, "change shares only, and keep all codes"};
        shares[c] = other[*at].conifer_share;
    }
    return shares;
}

ClassConfusion confusion_of(const ConfusionMatrix& matrix, const FuelClassTable& table,
                            const std::string& path)
{
    std::vector<ClassIndex> classes;
    for (const std::string& name : matrix.classes)
        classes.push_back(class_of(name, table, path));
    ClassConfusion confusion;
    confusion.of.resize(table.rows().size());
    for (std::size_t i = 0; i < classes.size(); ++i) {
        const auto points = static_cast<double>(matrix.points(i));
        if (points == 0)
            continue; // nobody looked: as the raster says
        ClassConfusion::Row row;
        std::int64_t sum = 0;
        for (std::size_t j = 0; j < classes.size(); ++j) {
            if (matrix.at(i, j) == 0)
                continue;
            sum += matrix.at(i, j);
            row.truth.push_back(classes[j]);
            row.until.push_back(static_cast<double>(sum) / points);
            row.expected_share += static_cast<double>(matrix.at(i, j)) / points *
                                  table[classes[j]].conifer_share /
                                  static_cast<double>(whole_share);
        }
        confusion.of[classes[i]] = std::move(row);
    }
    return confusion;
}

} // namespace fuelring
