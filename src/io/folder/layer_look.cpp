// SPDX-License-Identifier: Apache-2.0

// A layer is told by its shapes, how large they are, and what stands in its columns. All features
// of a town are looked at, of larger layers the first ones.
#include "base/utf8.hpp"
#include "io/folder/found.hpp"
#include "io/folder/found_crs.hpp"
#include "io/gdal/open.hpp"
#include "io/vector/coordinate_text.hpp"

#include <ogr_spatialref.h>
#include <ogrsf_frmts.h>

#include <algorithm>
#include <cctype>
#include <charconv>
#include <set>
#include <string_view>

namespace fuelring {

namespace {

constexpr std::int64_t most_features = 50'000;
constexpr std::size_t most_text_bytes = 400; ///< longer texts are no ids, names or addresses

FoundShape shape_of(OGRwkbGeometryType type)
{
    switch (wkbFlatten(type)) {
    case wkbPolygon:
    case wkbMultiPolygon:
    case wkbCurvePolygon:
    case wkbMultiSurface:
        return FoundShape::polygons;
    case wkbPoint:
    case wkbMultiPoint:
        return FoundShape::points;
    case wkbLineString:
    case wkbMultiLineString:
    case wkbMultiCurve:
        return FoundShape::lines;
    case wkbNone:
        return FoundShape::none;
    default:
        return FoundShape::mixed; // not said, or several kinds
    }
}

std::optional<double> number_of_text(const std::string& text)
{
    double value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{} || end != text.data() + text.size())
        return std::nullopt;
    return value;
}

bool has_letters_and_digits(const std::string& text)
{
    const auto any = [&](auto is) {
        return std::any_of(text.begin(), text.end(),
                           [&](unsigned char c) { return is(c) != 0 || (c >= 0x80 && is('a')); });
    };
    return any([](int c) { return std::isalpha(c); }) &&
           std::any_of(text.begin(), text.end(),
                       [](unsigned char c) { return std::isdigit(c) != 0; });
}

/// What one column holds, cell by cell.
class ColumnLook {
public:
    explicit ColumnLook(std::string name) { column_.name = std::move(name); }

    void take(const std::string& text)
    {
        if (text.find_first_not_of(" \t") == text.npos)
            return;
        ++column_.filled;
        column_.all_numbers = column_.all_numbers && number_of_text(text);
        if (const auto number = coordinate_of(text)) {
            column_.least = column_.filled == 1 ? *number : std::min(column_.least, *number);
            column_.most = column_.filled == 1 ? *number : std::max(column_.most, *number);
        } else {
            column_.all_coordinates = false;
        }
        column_.with_letters_and_digits =
            column_.with_letters_and_digits || has_letters_and_digits(text);
        if (text.size() > most_text_bytes) {
            column_.unique = false;
            return;
        }
        if (seen_.size() >= FoundColumn::most_counted)
            return;
        if (!seen_.insert(text).second)
            column_.unique = false;
        else if (column_.values.size() < FoundColumn::most_values)
            column_.values.push_back(text);
    }

    FoundColumn finish(bool all_features)
    {
        column_.different = seen_.size();
        column_.unique = column_.unique && all_features && column_.filled > 0;
        return std::move(column_);
    }

private:
    FoundColumn column_;
    std::set<std::string> seen_;
};

/// Tables of texts are opened as those of addresses are: columns of coordinates stay texts.
bool is_table(const std::string& path)
{
    return path.ends_with("csv") || path.ends_with("CSV") || path.ends_with("tsv");
}

double area_m2_of(const OGRGeometry& geometry)
{
    double area = 0;
    if (const auto type = wkbFlatten(geometry.getGeometryType()); type == wkbPolygon)
        area = geometry.toPolygon()->get_Area();
    else if (type == wkbMultiPolygon)
        area = geometry.toMultiPolygon()->get_Area();
    OGREnvelope box;
    geometry.getEnvelope(&box);
    const double side =
        rough_metres(geometry.getSpatialReference(), 1, 0.5 * (box.MinY + box.MaxY));
    return area * side * side;
}

/// Reads one layer once.
class LayerLook {
public:
    LayerLook(OGRLayer& layer, FoundLayer& into) : layer_{layer}, into_{into}
    {
        OGRFeatureDefn* definition = layer.GetLayerDefn();
        for (int k = 0; k < definition->GetFieldCount(); ++k)
            columns_.emplace_back(definition->GetFieldDefn(k)->GetNameRef());
    }

    void run()
    {
        layer_.ResetReading();
        while (into_.looked_at < most_features) {
            const OGRFeatureUniquePtr feature{layer_.GetNextFeature()};
            if (!feature)
                break;
            ++into_.looked_at;
            take(*feature);
        }
        const auto told = layer_.GetFeatureCount(0);
        into_.features = std::max<std::int64_t>(into_.looked_at, told);
        for (ColumnLook& column : columns_)
            into_.columns.push_back(column.finish(into_.features == into_.looked_at));
        if (into_.shape == FoundShape::mixed && seen_shape_)
            into_.shape = *seen_shape_;
        if (!areas_m2_.empty()) {
            const auto middle =
                areas_m2_.begin() + static_cast<std::ptrdiff_t>(areas_m2_.size() / 2);
            std::nth_element(areas_m2_.begin(), middle, areas_m2_.end());
            into_.median_area_m2 = *middle;
        }
        if (not_utf8_)
            into_.encoding = "WINDOWS-1252";
    }

private:
    void take(OGRFeature& feature)
    {
        for (std::size_t k = 0; k < columns_.size(); ++k) {
            if (!feature.IsFieldSetAndNotNull(static_cast<int>(k)))
                continue;
            std::string text = feature.GetFieldAsString(static_cast<int>(k));
            if (!is_utf8(text)) {
                not_utf8_ = true;
                text = shown_bytes(text);
            }
            columns_[k].take(text);
        }
        const OGRGeometry* geometry = feature.GetGeometryRef();
        if (!geometry || geometry->IsEmpty())
            return;
        const FoundShape shape = shape_of(geometry->getGeometryType());
        if (!seen_shape_)
            seen_shape_ = shape;
        else if (*seen_shape_ != shape)
            seen_shape_ = FoundShape::mixed;
        OGREnvelope box;
        geometry->getEnvelope(&box);
        into_.extent.take_in({box.MinX, box.MinY});
        into_.extent.take_in({box.MaxX, box.MaxY});
        if (shape == FoundShape::polygons)
            areas_m2_.push_back(area_m2_of(*geometry));
    }

    OGRLayer& layer_;
    FoundLayer& into_;
    std::vector<ColumnLook> columns_;
    std::vector<double> areas_m2_;
    std::optional<FoundShape> seen_shape_;
    bool not_utf8_ = false;
};

} // namespace

std::vector<FoundLayer> look_at_layers(const std::string& path)
{
    const DatasetPtr file = open_input(path, InputKind::vector, false,
                                       is_table(path) ? "inputs.addresses" : "the folder");
    GDALDataset* data = GDALDataset::FromHandle(file.get());
    const bool csv =
        std::string_view{GDALGetDriverShortName(GDALGetDatasetDriver(file.get()))} == "CSV";
    std::vector<FoundLayer> layers;
    for (OGRLayer* layer : data->GetLayers()) {
        FoundLayer& found = layers.emplace_back();
        found.path = path;
        found.layer = layer->GetName();
        found.only_layer = data->GetLayerCount() == 1;
        found.is_csv = csv;
        found.shape = shape_of(layer->GetGeomType());
        found.crs = found_crs(layer->GetSpatialRef());
        LayerLook{*layer, found}.run();
    }
    return layers;
}

} // namespace fuelring
