// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/gdal/handles.hpp"
#include "io/georeference/layer_crs.hpp"
#include "io/vector/text_encoding.hpp"

#include <fuelring/error.hpp>

#include <functional>
#include <optional>
#include <string>
#include <vector>

class OGRFeature;
class OGRLayer;

namespace fuelring {

/// Which layer to open, and the table of the configuration that names it (for messages).
struct LayerRequest {
    std::string key; ///< "inputs.structures"
    std::string path;
    std::string layer; ///< may be empty where the file has one layer only
    std::string crs;   ///< only if the file has none
    bool remote_allowed = false;
    bool may_lack_crs = false; ///< it is then empty: a table that may hold no shapes
    std::string encoding{};    ///< of its texts, only where that is not UTF-8
};

/// One layer of a vector file, opened for a single pass.
class VectorLayer {
public:
    /// Throws: Error{input}: not readable, no such layer, several and none named, no CRS, a format
    /// that says itself how its texts are written where an encoding is given; Error{usage} for an
    /// encoding that there is not.
    explicit VectorLayer(LayerRequest request);

    const Crs& crs() const { return crs_; }
    const std::string& name() const { return name_; }
    /// What brings its places into the analysis CRS, where the community lies in `area`.
    /// Throws: Error{input} when PROJ knows no way.
    Reprojection way_to(const Crs& analysis, const std::optional<GeoArea>& area) const;
    /// How they come there by it.
    LayerCrs layer_crs(const Crs& analysis, const Reprojection& to_analysis) const;

    /// Throws: Error{input} naming what the layer holds instead, when it can hold no polygon.
    void require_polygons() const;

    /// Index of a column, for OGRFeature. `key` is the configuration's word for it ("id").
    /// Throws: Error{input} listing the columns there are.
    int column(const std::string& column, const std::string& key) const;
    bool has_column(const std::string& column) const;
    /// Reads these columns only, which saves most of the time of wide tables; `shapes`: and the
    /// geometries.
    void read_only_columns(const std::vector<int>& columns, bool shapes = true);
    /// Lets through features that an OGR SQL condition holds for. `key` is the configuration's
    /// word. Throws: Error{input} where a part of it would not be read (what_cuts_filter), or with
    /// the reason of OGR, here or in for_each: some formats look late.
    void filter(const std::string& where, const std::string& key);

    /// Calls visit(feature) for every feature, in the order of the file.
    /// Throws: Error{input} when the file ends in an error, or holds what is absurdly large.
    void for_each(const std::function<void(const OGRFeature&)>& visit) const;

    /// Text of a column in UTF-8; empty where the cell is null or holds nothing.
    /// Throws: Error{input} naming feature and column where it is neither UTF-8 nor in the encoding
    /// that was given.
    std::optional<std::string> text_of(const OGRFeature& feature, int column) const;

    /// The complaint about this layer, or about one feature of it.
    Error wrong(const std::string& what, std::string remedy = {}) const;
    Error wrong_feature(std::int64_t fid, const std::string& what, std::string remedy = {}) const;

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
    std::vector<std::string> column_names() const;

    LayerRequest request_;
    DatasetPtr file_;
    std::optional<TextEncoding> encoding_; ///< none where texts are UTF-8
    OGRLayer* layer_;                      ///< owned by file_
    std::string name_;
    Crs crs_;
    std::string filter_;
    std::string filter_key_;
};

/// Text of a column as the file has it, of files that fuelring wrote; empty where the cell is null
/// or holds nothing.
std::optional<std::string> text_of(const OGRFeature& feature, int column);

/// The number in a column, or nothing where it is null.
std::optional<double> number_of(const OGRFeature& feature, int column);

} // namespace fuelring
