// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/crs.hpp"
#include "io/gdal_errors.hpp"
#include "io/gdal_handles.hpp"

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace fuelring {

/// A column of a GeoPackage layer.
struct GpkgField {
    enum class Type { text, integer, real };
    std::string name;
    Type type = Type::real;
};

/// A value of a row; std::monostate is null.
using GpkgValue = std::variant<std::monostate, std::int64_t, double, std::string>;

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

/// A new GeoPackage. GDAL builds it in memory, where nothing can run full unseen; `finish` writes
/// the bytes, fsyncs them, and has SQLite judge the file on the disk.
/// Law: the same rows give the same bytes. The dates inside are a fixed one.
/// For use by the thread that made it.
class GpkgFile {
public:
    enum class Shape { point, multipolygon };

    /// Throws, as all of it: Error{output} with GDAL's reason.
    GpkgFile(std::filesystem::path path, const Crs& crs);
    ~GpkgFile(); ///< without finish(): nothing was written
    GpkgFile(const GpkgFile&) = delete;
    GpkgFile& operator=(const GpkgFile&) = delete;

    /// Begins a layer; rows are added to the layer begun last.
    void begin_layer(const std::string& name, Shape shape, const std::vector<GpkgField>& fields);
    /// Values in the order of the fields; the shape as WKB.
    void add_row(const std::vector<GpkgValue>& values, const std::string& wkb);
    /// Writes the file; opens it again: PRAGMA integrity_check, and the rows of every layer.
    void finish();

private:
    struct Layer {
        std::string name;
        OGRLayerH handle = nullptr;
        std::int64_t rows = 0;
    };
    void require(bool ok) const;
    void require_sound() const;

    std::filesystem::path path_;
    std::string memory_name_;
    Crs crs_;
    GdalErrors errors_;
    GdalThreadOption date_;
    GdalThreadOption journal_;
    DatasetPtr file_;
    std::vector<Layer> layers_;
};

} // namespace fuelring
