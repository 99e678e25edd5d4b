// SPDX-License-Identifier: Apache-2.0

// Tables of addresses come from spreadsheets: with decimal commas, with blanks or apostrophes
// between thousands, and with columns called in many ways. OGR reads points of a table only where
// numbers have decimal points, so columns are read here.
#include "io/community/address_points.hpp"

#include "io/vector/coordinate_text.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <ogr_feature.h>
#include <ogr_geometry.h>

#include <string>

namespace fuelring {

namespace {

/// The one point of a geometry.
std::optional<Point> point_of(const OGRGeometry* geometry)
{
    if (!geometry || geometry->IsEmpty())
        return std::nullopt;
    const OGRwkbGeometryType type = wkbFlatten(geometry->getGeometryType());
    if (type == wkbMultiPoint && geometry->toMultiPoint()->getNumGeometries() == 1)
        return point_of(geometry->toMultiPoint()->getGeometryRef(0));
    if (type != wkbPoint)
        return std::nullopt;
    return Point{geometry->toPoint()->getX(), geometry->toPoint()->getY()};
}

} // namespace

AddressPoints::AddressPoints(const VectorLayer& layer, const AddressSource& source) : layer_{layer}
{
    if (!source.x.empty()) {
        names_ = {source.x, source.y};
        columns_ = {layer.column(source.x, "x"), layer.column(source.y, "y")};
        return;
    }
    if (!layer.is_plain_table())
        return;
    for (const auto& [x, y] : usual_coordinate_columns)
        if (layer.has_column(std::string{x}) && layer.has_column(std::string{y})) {
            names_ = {std::string{x}, std::string{y}};
            columns_ = {layer.column(names_[0], "x"), layer.column(names_[1], "y")};
            return;
        }
    if (!layer.has_points())
        throw layer.wrong("the table has no columns that are called as coordinates usually are",
                          "name them by inputs.addresses.x and inputs.addresses.y");
}

std::optional<double> AddressPoints::number(const OGRFeature& feature, std::size_t k)
{
    const std::optional<std::string> text = layer_.text_of(feature, columns_[k]);
    if (!text || text->find_first_not_of(" \t") == text->npos)
        return std::nullopt;
    const std::optional<double> number = coordinate_of(*text);
    if (!number)
        no_numbers_.add(
            fmt::format("'{}' in feature {}, column {}", *text, feature.GetFID(), names_[k]));
    return number;
}

std::optional<Point> AddressPoints::of(const OGRFeature& feature)
{
    if (columns_.empty())
        return point_of(feature.GetGeometryRef());
    const std::optional<double> x = number(feature, 0);
    const std::optional<double> y = number(feature, 1);
    return x && y ? std::optional{Point{*x, *y}} : std::nullopt;
}

void AddressPoints::require_numbers() const
{
    if (no_numbers_.count() == 0)
        return;
    throw layer_.wrong(
        fmt::format("{} coordinates are not numbers: {}{}", no_numbers_.count(),
                    fmt::join(no_numbers_.examples(), "; "),
                    static_cast<std::size_t>(no_numbers_.count()) > no_numbers_.examples().size()
                        ? "; ..."
                        : ""),
        "correct the table, or check inputs.addresses.x and inputs.addresses.y");
}

} // namespace fuelring
