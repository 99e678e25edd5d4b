// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/sources.hpp"
#include "io/gdal/handles.hpp"
#include "io/gdal/reprojection.hpp"
#include "io/vector/text_encoding.hpp"

#include <fuelring/error.hpp>

#include <functional>
#include <optional>
#include <string>
#include <vector>

class OGRFeature;
class OGRFeatureDefn;
class OGRLayer;

namespace fuelring {

enum class CrsNeed {
    required,
    may_lack ///< it is then empty: a table that may hold no shapes
};

/// One layer of a vector file, opened for a single pass.
/// For one thread. Calls that may wait for a database end with the process where it stays silent
/// (ServerWait).
class VectorLayer {
public:
    /// `key`: what names the layer, for messages: a table of the configuration
    /// ("inputs.structures") or an option ("--records").
    /// Throws: Error{input}: not readable, no such layer, several and none named, no CRS, a format
    /// that says itself how its texts are written where an encoding is given; Error{usage} for an
    /// encoding that there is not.
    VectorLayer(std::string key, const LayerSource& source, CrsNeed need = CrsNeed::required);

    /// Empty where the layer has none and may lack it.
    const Crs& crs() const { return crs_; }
    const std::string& key() const { return key_; }
    const LayerSource& source() const { return source_; }
    /// Where a setting of the layer is made: "inputs.structures.crs", "--records-crs".
    std::string key_of(const std::string& setting) const;

    /// What brings its places into another CRS, where the community lies in `area`.
    /// Throws: Error{input} when PROJ knows no way.
    Reprojection way_to(const Crs& to, const std::optional<GeoArea>& area) const;

    /// Throws: Error{input} naming what the layer holds instead, when it can hold no polygon.
    void require_polygons() const;

    /// Its columns. Good as long as the layer.
    OGRFeatureDefn& definition() const;
    /// Index of a column, for OGRFeature. `setting` is the configuration's word for it ("id").
    /// Throws: Error{input} listing the columns there are.
    int column(const std::string& column, const std::string& setting) const;
    /// The case of letters does not matter, as in OGR.
    bool has_column(const std::string& column) const;
    /// Lets through the features that source().where holds for. Without a filter only `columns`
    /// (and the geometries, if `shapes`) are read, which saves most of the time of wide tables;
    /// several formats evaluate a filter on the columns read, so with one they are all.
    /// Throws: Error{input} where a part of the filter would not be read (what_cuts_filter), or
    /// with the reason of OGR, here or in for_each: some formats look late.
    /// `columns`: indices that column() gave.
    void select(const std::vector<int>& columns, bool shapes = true);

    /// Calls visit(feature) for every feature, in the order of the file.
    /// Throws: Error{input} when the file ends in an error, or holds what is absurdly large.
    /// Bounds: at most 20 million features, 64 MiB of geometry each, 1,000,000 bytes of a text. The
    /// feature is valid during its visit. What `visit` throws goes on.
    void for_each(const std::function<void(const OGRFeature&)>& visit) const;

    /// Text of a column in UTF-8; empty where the cell is null or holds nothing.
    /// Throws: Error{input} naming feature and column where it is neither UTF-8 nor in the encoding
    /// that was given.
    std::optional<std::string> text_of(const OGRFeature& feature, int column) const;

    /// The complaint about this layer, or about one feature of it.
    /// A feature is named by its id in the file (FID).
    Error wrong(const std::string& what, std::string remedy = {}) const;
    Error wrong_feature(const OGRFeature& feature, const std::string& what,
                        std::string remedy = {}) const;

protected:
    bool crs_by_file() const; ///< false: by the configuration

private:
    OGRLayer* find_layer() const;
    /// Throws: Error{input} where a feature is larger than anything it can stand for.
    void require_sane(const OGRFeature& feature) const;
    /// Throws: Error{input} where the format tells how many features there are, and there are not.
    void require_all(std::int64_t features) const;
    Error not_read(const std::string& reason) const;
    /// The encoding that was given. Throws: Error{input} for formats that know it themselves.
    std::optional<TextEncoding> given_encoding() const;
    /// Text of the configuration as the file would write it; as it stands where it could not.
    std::string as_in_file(const std::string& text) const;
    int index_of(const std::string& column) const;
    std::vector<std::string> column_names() const;

    std::string key_;
    LayerSource source_;
    DatasetPtr file_;
    std::optional<TextEncoding> encoding_; ///< none where texts are UTF-8
    OGRLayer* layer_;                      ///< owned by file_
    Crs crs_;
};

/// Text of a column as the file has it, of files that fuelring wrote; empty where the cell is null
/// or holds nothing.
std::optional<std::string> text_of(const OGRFeature& feature, int column);

/// The number in a column, or nothing where it is null.
std::optional<double> number_of(const OGRFeature& feature, int column);

} // namespace fuelring
