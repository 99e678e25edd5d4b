// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/caution.hpp"
#include "base/program/digest.hpp"
#include "io/gdal/crs.hpp"
#include "io/gdal/errors.hpp"
#include "io/gdal/handles.hpp"

#include <fuelring/error.hpp>

#include <cstdint>
#include <filesystem>
#include <functional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace fuelring {

/// A column of a GeoPackage layer.
/// Names as SQLite has them: the case does not matter, and none comes twice in a layer.
struct GpkgField {
    enum class Type { text, integer, real, moment };
    std::string name;
    Type type = Type::real; ///< moment: a text in ISO 8601 of a date and a time
    std::string alias{};    ///< what people read, unit included
};

/// A value of a row; std::monostate is null. Texts are UTF-8.
using GpkgValue = std::variant<std::monostate, std::int64_t, double, std::string>;
/// A table knows no empty text: it is null, as a CSV cannot tell the two apart.
inline GpkgValue text_or_null(std::string text)
{
    return text.empty() ? GpkgValue{} : GpkgValue{std::move(text)};
}

/// A configuration option of GDAL on this thread, put back at the end of the scope.
class GdalThreadOption {
public:
    GdalThreadOption(const char* key, const char* value);
    ~GdalThreadOption();
    GdalThreadOption(const GdalThreadOption&) = delete;
    GdalThreadOption& operator=(const GdalThreadOption&) = delete;

private:
    const char* key_;
    bool had_ = false;
    std::string old_;
};

/// A new GeoPackage. GDAL writes it to the disk as the rows come, so that memory does not hold it;
/// `finish` fsyncs it, has SQLite judge the file, and reads every row again: a write that failed
/// in silence cannot pass.
/// Law: the same rows give the same bytes. The dates inside are a fixed one.
/// For use by the thread that made it.
class GpkgFile {
public:
    /// none: a table of attributes, without CRS or spatial index.
    enum class Shape { point, multipolygon, none };

    /// Throws, as all of it: Error{output} with GDAL's reason. Without finish() the file goes away.
    /// `on_rows` hears of rows that were added, and of rows that were read again.
    /// `about`: what a user must know of the figures; stands in the file's metadata (the tables
    /// gpkg_metadata and gpkg_metadata_reference of the standard) and describes its layers.
    GpkgFile(std::filesystem::path path, const Crs& crs, std::string about = caution,
             std::function<void(std::int64_t rows)> on_rows = {});
    GpkgFile(const GpkgFile&) = delete;
    GpkgFile& operator=(const GpkgFile&) = delete;

    /// Begins a layer; rows are added to the layer begun last.
    /// Requires: a name that no layer before it has.
    void begin_layer(const std::string& name, Shape shape, const std::vector<GpkgField>& fields);
    /// Values in the order of the fields; the shape as WKB, empty for none.
    /// Requires: a layer was begun; as many values as it has fields, of their types or null.
    void add_row(const std::vector<GpkgValue>& values, const std::string& wkb);
    /// Adds the styles and the fields' aliases of all layers, closes the file, puts it on the disk
    /// and opens it again: PRAGMA integrity_check, and the rows of every layer compared with those
    /// that were added.
    /// Once, and last: only then does the file stay.
    void finish();

private:
    struct Layer {
        std::string name;
        OGRLayerH handle = nullptr;
        Shape shape = Shape::none;
        std::vector<GpkgField> fields;
        std::int64_t rows = 0;
        Digester added; ///< of all rows
    };
    void require(bool ok) const;
    void say_rows(std::int64_t rows) const;
    void add_styles();
    void add_aliases();
    void run(const std::string& sql);
    void require_aliases(GDALDatasetH file) const;
    void require_sound();
    void require_same_rows(GDALDatasetH file, Layer& layer) const;
    Error damaged(const std::string& what) const;

    /// A file that goes away unless it was kept, also when the constructor throws.
    struct Draft {
        std::filesystem::path path;
        bool kept = false;
        ~Draft();
    };

    Draft draft_;
    Crs crs_;
    std::string about_;
    GdalErrors errors_;
    GdalThreadOption date_;
    GdalThreadOption journal_;
    GdalThreadOption synchronous_;
    GdalThreadOption threaded_index_;
    DatasetPtr file_;
    std::vector<Layer> layers_;
    std::string row_bytes_; ///< scratch
    std::function<void(std::int64_t)> on_rows_;
};

} // namespace fuelring
