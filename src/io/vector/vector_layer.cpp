// SPDX-License-Identifier: Apache-2.0
#include "io/vector/vector_layer.hpp"

#include "base/utf8.hpp"
#include "io/gdal/open.hpp"
#include "io/gdal/server_wait.hpp"
#include "io/vector/attribute_filter.hpp"

#include <cpl_error.h>
#include <fmt/format.h>
#include <ogrsf_frmts.h>

#include <algorithm>

namespace fuelring {

namespace {

// Bounds on what a layer may hold. A map of a country has no outline so long.
constexpr std::int64_t most_features = 20'000'000;
constexpr std::size_t most_geometry_bytes = 64U << 20; ///< four million vertices
constexpr std::size_t most_text_bytes = 1'000'000;     ///< of a cell

/// Formats whose texts come as the bytes that stand in the file, when asked for. The others know
/// how they are written, and GDAL makes UTF-8 of it.
constexpr std::string_view formats_of_bytes[] = {"ESRI Shapefile", "CSV",  "GeoJSON", "GeoJSONSeq",
                                                 "FlatGeobuf",     "GPKG", "SQLite"};

GDALDataset* dataset(const DatasetPtr& file)
{
    return GDALDataset::FromHandle(file.get());
}

} // namespace

VectorLayer::VectorLayer(LayerRequest request)
    : request_{std::move(request)},
      file_{open_input(request_.path, InputKind::vector, request_.remote_allowed, request_.key,
                       request_.encoding.empty() ? TextBytes::decoded : TextBytes::as_they_are)},
      encoding_{given_encoding()}, layer_{find_layer()}, name_{layer_->GetName()}
{
    const ServerWait wait{request_.path, request_.key};
    const bool lacks = !is_known_crs(layer_->GetSpatialRef()) && request_.crs.empty();
    if (!lacks || !request_.may_lack_crs)
        crs_ = crs_of_input(layer_->GetSpatialRef(), request_.crs, request_.path, request_.key);
}

Reprojection VectorLayer::way_to(const Crs& analysis, const std::optional<GeoArea>& area) const
{
    try {
        return {crs_, analysis, area};
    } catch (const Error& e) {
        throw wrong(e.what(), fmt::format("check {}.crs and the raster's, or give the layer in the "
                                          "raster's system",
                                          request_.key));
    }
}

LayerCrs VectorLayer::layer_crs(const Crs& analysis, const Reprojection& to_analysis) const
{
    const bool by_file = is_known_crs(layer_->GetSpatialRef());
    std::string origin = by_file ? "by the file" : "by the configuration";
    if (const std::string key = request_.key + ".crs";
        by_file && !request_.crs.empty() && !Crs::from_user_input(request_.crs, key).same_as(crs_))
        origin += fmt::format(" ({} = \"{}\" is for files that have none)", key, request_.crs);
    std::string done = "the same as the raster's";
    if (!crs_.same_as(analysis))
        done = fmt::format("reprojected to {} {}", analysis.name(),
                           to_analysis.operation().in_words());
    else if (crs_.name() != analysis.name())
        done = fmt::format("taken as the same as {}: only the name or the order of axes differs",
                           analysis.name());
    return {request_.key, request_.path, crs_,
            fmt::format("{}: {} {}, {}", request_.key, crs_.name(), origin, done),
            to_analysis.operation()};
}

OGRLayer* VectorLayer::find_layer() const
{
    const ServerWait wait{request_.path, request_.key};
    std::vector<std::string> names;
    for (OGRLayer* layer : dataset(file_)->GetLayers())
        names.emplace_back(layer->GetName());
    const std::string list =
        fmt::format("{}.layer: one of {}", request_.key, fmt::join(names, ", "));
    if (names.empty())
        throw Error{Failure::input, "the file has no layers", request_.path,
                    fmt::format("check {}.path with ogrinfo", request_.key)};
    if (request_.layer.empty() && names.size() > 1)
        throw Error{Failure::input,
                    fmt::format("the file has {} layers, and none is named", names.size()),
                    request_.path, "name " + list};
    OGRLayer* layer = request_.layer.empty()
                          ? dataset(file_)->GetLayer(0)
                          : dataset(file_)->GetLayerByName(request_.layer.c_str());
    if (!layer)
        throw Error{Failure::input, fmt::format("no layer '{}'", request_.layer), request_.path,
                    "check " + list};
    return layer;
}

void VectorLayer::require_polygons() const
{
    const ServerWait wait{request_.path, request_.key};
    const OGRwkbGeometryType type = wkbFlatten(layer_->GetGeomType());
    switch (type) {
    case wkbPoint:
    case wkbMultiPoint:
    case wkbLineString:
    case wkbMultiLineString:
    case wkbCircularString:
    case wkbCompoundCurve:
    case wkbMultiCurve:
    case wkbNone:
        throw wrong(fmt::format("the layer has {} where polygons are needed",
                                type == wkbNone ? "no geometries" : OGRGeometryTypeToName(type)),
                    fmt::format("check {}.layer", request_.key));
    default:
        return;
    }
}

int VectorLayer::column(const std::string& column, const std::string& key) const
{
    const ServerWait wait{request_.path, request_.key};
    const int index = layer_->GetLayerDefn()->GetFieldIndex(as_in_file(column).c_str());
    if (index >= 0)
        return index;
    const std::vector<std::string> names = column_names();
    throw wrong(fmt::format("no column '{}'", column),
                names.empty() ? "the layer has no columns"
                              : fmt::format("check {}.{}: the columns are {}", request_.key, key,
                                            fmt::join(names, ", ")));
}

bool VectorLayer::has_column(const std::string& column) const
{
    const ServerWait wait{request_.path, request_.key};
    return layer_->GetLayerDefn()->GetFieldIndex(as_in_file(column).c_str()) >= 0;
}

std::vector<std::string> VectorLayer::column_names() const
{
    OGRFeatureDefn* definition = layer_->GetLayerDefn();
    std::vector<std::string> names;
    for (int k = 0; k < definition->GetFieldCount(); ++k) {
        const std::string in_file = definition->GetFieldDefn(k)->GetNameRef();
        names.push_back(encoding_ ? encoding_->to_utf8(in_file).value_or(shown_bytes(in_file))
                                  : shown_bytes(in_file));
    }
    return names;
}

std::optional<TextEncoding> VectorLayer::given_encoding() const
{
    if (request_.encoding.empty())
        return std::nullopt;
    const std::string key = request_.key + ".encoding";
    const std::string_view format = GDALGetDriverShortName(GDALGetDatasetDriver(file_.get()));
    if (std::find(std::begin(formats_of_bytes), std::end(formats_of_bytes), format) ==
        std::end(formats_of_bytes))
        throw Error{Failure::input,
                    fmt::format("a {} file says itself how its texts are written", format),
                    request_.path, fmt::format("leave {} out", key)};
    return TextEncoding{request_.encoding, key};
}

std::string VectorLayer::as_in_file(const std::string& text) const
{
    return encoding_ ? encoding_->from_utf8(text).value_or(text) : text;
}

std::optional<std::string> VectorLayer::text_of(const OGRFeature& feature, int column) const
{
    std::optional<std::string> text = fuelring::text_of(feature, column);
    if (!text || (!encoding_ && is_utf8(*text)))
        return text;
    std::optional<std::string> decoded;
    if (encoding_)
        decoded = encoding_->to_utf8(*text);
    if (decoded)
        return decoded;
    const bool has_key = request_.key.starts_with("inputs.");
    throw wrong_feature(
        feature.GetFID(),
        fmt::format("the text in column {} is not {}: '{}'",
                    column_names()[static_cast<std::size_t>(column)],
                    encoding_ ? encoding_->name() : "UTF-8", shown_bytes(*text)),
        has_key ? fmt::format("save the file as UTF-8, or say what it is written in: {}.encoding = "
                              "\"WINDOWS-1252\" or another",
                              request_.key)
                : "save the file as UTF-8");
}

void VectorLayer::read_only_columns(const std::vector<int>& columns, bool shapes)
{
    OGRFeatureDefn* definition = layer_->GetLayerDefn();
    std::vector<const char*> ignored;
    for (int k = 0; k < definition->GetFieldCount(); ++k)
        if (std::find(columns.begin(), columns.end(), k) == columns.end())
            ignored.push_back(definition->GetFieldDefn(k)->GetNameRef());
    ignored.push_back("OGR_STYLE");
    if (!shapes)
        ignored.push_back("OGR_GEOMETRY");
    ignored.push_back(nullptr);
    layer_->SetIgnoredFields(ignored.data()); // formats that cannot are slower, no more
}

void VectorLayer::filter(const std::string& where, const std::string& key)
{
    if (where.empty())
        return;
    const ServerWait wait{request_.path, request_.key};
    filter_ = where;
    filter_key_ = fmt::format("{}.{}", request_.key, key);
    if (const std::string cut = what_cuts_filter(where); !cut.empty())
        throw not_read(cut + ", and what follows would not be read");
    CPLErrorReset();
    // In brackets LIMIT, GROUP BY or UNION, which SQL formats would take for their own statement,
    // are errors, as they are where OGR reads the filter.
    const std::string condition = fmt::format("({})", as_in_file(where));
    if (layer_->SetAttributeFilter(condition.c_str()) != OGRERR_NONE)
        throw not_read(gdal_reason("OGR gives no reason"));
}

Error VectorLayer::not_read(const std::string& reason) const
{
    if (filter_.empty())
        return wrong("the layer cannot be read to its end: " + reason,
                     "the file may be damaged or cut short: fetch it again");
    return wrong(
        fmt::format("the layer cannot be read with the filter \"{}\": {}", filter_, reason),
        fmt::format("check {}", filter_key_));
}

void VectorLayer::for_each(const std::function<void(const OGRFeature&)>& visit) const
{
    ServerWait wait{request_.path, request_.key};
    CPLErrorReset();
    layer_->ResetReading();
    std::int64_t features = 0;
    while (const OGRFeatureUniquePtr feature{layer_->GetNextFeature()}) {
        wait.progress();
        if (++features > most_features)
            throw wrong(fmt::format("more than {} features", most_features),
                        "cut the community out with ogr2ogr -spat");
        require_sane(*feature);
        visit(*feature);
        wait.progress();
    }
    if (CPLGetLastErrorType() >= CE_Failure)
        throw not_read(gdal_reason("OGR gives no reason"));
    require_all(features);
}

void VectorLayer::require_all(std::int64_t features) const
{
    const std::string driver = GDALGetDriverShortName(GDALGetDatasetDriver(file_.get()));
    if (!filter_.empty() || driver != "FlatGeobuf") // others do not know, or say an old number
        return;
    const std::int64_t announced = layer_->GetFeatureCount(FALSE);
    if (announced >= 0 && features != announced)
        throw not_read(fmt::format("it has only {} of the {} features that it announces", features,
                                   announced));
}

void VectorLayer::require_sane(const OGRFeature& feature) const
{
    const OGRGeometry* geometry = feature.GetGeometryRef();
    if (geometry && geometry->WkbSize() > most_geometry_bytes)
        throw wrong_feature(feature.GetFID(),
                            fmt::format("its outline takes {} MiB; {} is the most",
                                        geometry->WkbSize() >> 20, most_geometry_bytes >> 20),
                            "divide or simplify it");
    for (int k = 0; k < feature.GetFieldCount(); ++k)
        if (feature.IsFieldSetAndNotNull(k) && feature.GetFieldDefnRef(k)->GetType() == OFTString &&
            std::string_view{feature.GetRawFieldRef(k)->String}.size() > most_text_bytes)
            throw wrong_feature(feature.GetFID(),
                                fmt::format("a text in column {} has more than {} bytes",
                                            feature.GetFieldDefnRef(k)->GetNameRef(),
                                            most_text_bytes),
                                "shorten it, or name another column");
}

Error VectorLayer::wrong(const std::string& what, std::string remedy) const
{
    return {Failure::input, what, fmt::format("{}, layer {}", request_.path, name_),
            std::move(remedy)};
}

Error VectorLayer::wrong_feature(std::int64_t fid, const std::string& what,
                                 std::string remedy) const
{
    return {Failure::input, what,
            fmt::format("{}, layer {}, feature {}", request_.path, name_, fid), std::move(remedy)};
}

std::optional<double> number_of(const OGRFeature& feature, int column)
{
    return feature.IsFieldSetAndNotNull(column) ? std::optional{feature.GetFieldAsDouble(column)}
                                                : std::nullopt;
}

std::optional<std::string> text_of(const OGRFeature& feature, int column)
{
    if (!feature.IsFieldSetAndNotNull(column))
        return std::nullopt;
    // GetFieldAsString works in a buffer of the feature, hence the cast that OGR's API asks for.
    std::string text = const_cast<OGRFeature&>(feature).GetFieldAsString(column);
    return text.empty() ? std::nullopt : std::optional{std::move(text)};
}

} // namespace fuelring
