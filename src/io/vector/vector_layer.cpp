// SPDX-License-Identifier: Apache-2.0

// A layer is read as its file has it and distrusted all the way: bounds on what one feature may
// hold, texts that are not UTF-8, filters that formats would cut short, files that end early. OGR
// tells most of that, if at all, only after the last feature, so the end of the walk is where it is
// asked.
#include "io/vector/vector_layer.hpp"

#include "base/utf8.hpp"
#include "io/gdal/errors.hpp"
#include "io/gdal/open.hpp"
#include "io/gdal/server_wait.hpp"
#include "io/vector/attribute_filter.hpp"

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

VectorLayer::VectorLayer(std::string key, const LayerSource& source, CrsNeed need)
    : key_{std::move(key)}, source_{source},
      file_{open_input(source.path, InputKind::vector, source.remote_allowed, key_,
                       source.encoding.empty() ? TextBytes::decoded : TextBytes::as_they_are)},
      encoding_{given_encoding()}, layer_{find_layer()}
{
    const ServerWait wait{source_.path, key_};
    if (need == CrsNeed::required || crs_by_file() || !source_.crs.empty())
        crs_ = crs_of_input(layer_->GetSpatialRef(), source_.crs, source_.path, key_of("crs"));
}

std::string VectorLayer::key_of(const std::string& setting) const
{
    return key_ + (key_.starts_with("--") ? "-" : ".") + setting;
}

Reprojection VectorLayer::way_to(const Crs& to, const std::optional<GeoArea>& area) const
{
    try {
        return {crs_, to, area};
    } catch (const Error& e) {
        throw wrong(e.what(), fmt::format("check {} and the raster's, or give the layer in the "
                                          "raster's system",
                                          key_of("crs")));
    }
}

bool VectorLayer::crs_by_file() const
{
    return is_known_crs(layer_->GetSpatialRef());
}

OGRLayer* VectorLayer::find_layer() const
{
    const ServerWait wait{source_.path, key_};
    std::vector<std::string> names;
    for (OGRLayer* layer : dataset(file_)->GetLayers())
        names.emplace_back(layer->GetName());
    const std::string list = fmt::format("{}: one of {}", key_of("layer"), fmt::join(names, ", "));
    const auto refuse = [this](const std::string& what, const std::string& remedy) {
        throw Error{Failure::input, what, source_.path, remedy};
    };
    if (names.empty())
        refuse("the file has no layers", fmt::format("check {} with ogrinfo", key_of("path")));
    if (source_.layer.empty() && names.size() > 1)
        refuse(fmt::format("the file has {} layers, and none is named", names.size()),
               "name " + list);
    OGRLayer* layer = source_.layer.empty() ? dataset(file_)->GetLayer(0)
                                            : dataset(file_)->GetLayerByName(source_.layer.c_str());
    if (!layer)
        refuse(fmt::format("no layer '{}'", source_.layer), "check " + list);
    return layer;
}

void VectorLayer::require_polygons() const
{
    const ServerWait wait{source_.path, key_};
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
                    "check " + key_of("layer"));
    default:
        return;
    }
}

OGRFeatureDefn& VectorLayer::definition() const
{
    return *layer_->GetLayerDefn();
}

int VectorLayer::column(const std::string& column, const std::string& setting) const
{
    if (const int index = index_of(column); index >= 0)
        return index;
    const std::vector<std::string> names = column_names();
    throw wrong(fmt::format("no column '{}'", column),
                names.empty() ? "the layer has no columns"
                              : fmt::format("check {}: the columns are {}", key_of(setting),
                                            fmt::join(names, ", ")));
}

bool VectorLayer::has_column(const std::string& column) const
{
    return index_of(column) >= 0;
}

int VectorLayer::index_of(const std::string& column) const
{
    const ServerWait wait{source_.path, key_};
    return layer_->GetLayerDefn()->GetFieldIndex(as_in_file(column).c_str());
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
    if (source_.encoding.empty())
        return std::nullopt;
    const std::string_view format = GDALGetDriverShortName(GDALGetDatasetDriver(file_.get()));
    if (std::find(std::begin(formats_of_bytes), std::end(formats_of_bytes), format) ==
        std::end(formats_of_bytes))
        throw Error{Failure::input,
                    fmt::format("a {} file says itself how its texts are written", format),
                    source_.path, fmt::format("leave {} out", key_of("encoding"))};
    return TextEncoding{source_.encoding, key_of("encoding")};
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
    const bool has_key = key_.starts_with("inputs.");
    throw wrong_feature(
        feature,
        fmt::format("the text in column {} is not {}: '{}'",
                    column_names()[static_cast<std::size_t>(column)],
                    encoding_ ? encoding_->name() : "UTF-8", shown_bytes(*text)),
        has_key ? fmt::format("save the file as UTF-8, or say what it is written in: {} = "
                              "\"WINDOWS-1252\" or another",
                              key_of("encoding"))
                : "save the file as UTF-8");
}

void VectorLayer::select(const std::vector<int>& columns, bool shapes)
{
    const ServerWait wait{source_.path, key_};
    if (source_.where.empty()) {
        OGRFeatureDefn* definition = layer_->GetLayerDefn();
        std::vector<const char*> ignored{"OGR_STYLE"};
        for (int k = 0; k < definition->GetFieldCount(); ++k)
            if (std::find(columns.begin(), columns.end(), k) == columns.end())
                ignored.push_back(definition->GetFieldDefn(k)->GetNameRef());
        if (!shapes)
            ignored.push_back("OGR_GEOMETRY");
        ignored.push_back(nullptr);
        layer_->SetIgnoredFields(ignored.data()); // formats that cannot are slower, no more
        return;
    }
    if (const std::string cut = what_cuts_filter(source_.where); !cut.empty())
        throw not_read(cut + ", and what follows would not be read");
    CPLErrorReset();
    // In brackets LIMIT, GROUP BY or UNION, which SQL formats would take for their own statement,
    // are errors, as they are where OGR reads the filter.
    const std::string condition = fmt::format("({})", as_in_file(source_.where));
    if (layer_->SetAttributeFilter(condition.c_str()) != OGRERR_NONE)
        throw not_read(gdal_reason("OGR gives no reason"));
}

Error VectorLayer::not_read(const std::string& reason) const
{
    if (source_.where.empty())
        return wrong("the layer cannot be read to its end: " + reason,
                     "the file may be damaged or cut short: fetch it again");
    return wrong(
        fmt::format("the layer cannot be read with the filter \"{}\": {}", source_.where, reason),
        "check " + key_of("where"));
}

void VectorLayer::for_each(const std::function<void(const OGRFeature&)>& visit) const
{
    ServerWait wait{source_.path, key_};
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
    if (!source_.where.empty() ||
        driver != "FlatGeobuf") // others do not know, or say an old number
        return;
    // FALSE: what the header says, without counting.
    const std::int64_t announced = layer_->GetFeatureCount(FALSE);
    if (announced >= 0 && features != announced)
        throw not_read(fmt::format("it has only {} of the {} features that it announces", features,
                                   announced));
}

void VectorLayer::require_sane(const OGRFeature& feature) const
{
    const OGRGeometry* geometry = feature.GetGeometryRef();
    if (geometry && geometry->WkbSize() > most_geometry_bytes)
        throw wrong_feature(feature,
                            fmt::format("its outline takes {} MiB; {} is the most",
                                        geometry->WkbSize() >> 20, most_geometry_bytes >> 20),
                            "divide or simplify it");
    for (int k = 0; k < feature.GetFieldCount(); ++k)
        if (feature.IsFieldSetAndNotNull(k) && feature.GetFieldDefnRef(k)->GetType() == OFTString &&
            std::string_view{feature.GetRawFieldRef(k)->String}.size() > most_text_bytes)
            throw wrong_feature(feature,
                                fmt::format("a text in column {} has more than {} bytes",
                                            feature.GetFieldDefnRef(k)->GetNameRef(),
                                            most_text_bytes),
                                "shorten it, or name another column");
}

Error VectorLayer::wrong(const std::string& what, std::string remedy) const
{
    return {Failure::input, what, fmt::format("{}, layer {}", source_.path, layer_->GetName()),
            std::move(remedy)};
}

Error VectorLayer::wrong_feature(const OGRFeature& feature, const std::string& what,
                                 std::string remedy) const
{
    const Error of_layer = wrong(what, std::move(remedy));
    return {of_layer.kind(), what,
            fmt::format("{}, feature {}", of_layer.where(), feature.GetFID()), of_layer.remedy()};
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
