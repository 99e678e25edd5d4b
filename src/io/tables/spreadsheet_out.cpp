// SPDX-License-Identifier: Apache-2.0

// The library that makes the file overlooks some writes that fail, so the file is read again by
// another one (GDAL's XLSX driver) before it gets its name: each part must be whole XML, each
// number equal to 14 digits, each text there. Only then is it renamed, so that no half of a
// spreadsheet is ever seen.
#include "io/tables/spreadsheet_out.hpp"

#include "base/program/durable_file.hpp"
#include "io/gdal/errors.hpp"
#include "io/gdal/handles.hpp"
#include "io/geopackage/gpkg_file.hpp"
#include "io/tables/workbook.hpp"

#include <cpl_minixml.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace fuelring {

namespace {

/// The library writes 16 digits.
constexpr double written_digits = 1e-14;

Error not_written(const std::filesystem::path& path, const std::string& reason)
{
    return {Failure::output, "the spreadsheet cannot be written: " + reason, path.string(),
            "check the room on the disk and its limits (df -h, ulimit -f), then run again"};
}

/// A folder for the file while it is made, and for what the library needs on the way.
class ScratchFolder {
public:
    explicit ScratchFolder(const std::filesystem::path& beside)
        : path_{std::filesystem::path{beside} += ".making"}
    {
        std::error_code error;
        if (!std::filesystem::create_directory(path_, error))
            throw output_error("the folder cannot be made", path_, error.value());
    }
    ~ScratchFolder()
    {
        std::error_code ignored; // remove() was not reached: what went wrong is the error to tell
        std::filesystem::remove_all(path_, ignored);
    }
    ScratchFolder(const ScratchFolder&) = delete;
    ScratchFolder& operator=(const ScratchFolder&) = delete;

    const std::filesystem::path& path() const { return path_; }
    void remove()
    {
        std::error_code error;
        std::filesystem::remove_all(path_, error);
        if (error)
            throw output_error("the folder cannot be removed", path_, error.value());
    }

private:
    std::filesystem::path path_;
};

/// Of a text only that it is there: the library escapes some characters.
bool same_cell(OGRFeatureH row, int field, const PictureColumn& column, std::size_t k)
{
    const bool there = OGR_F_IsFieldSetAndNotNull(row, field) != 0;
    if (column.kind == PictureColumn::Kind::text)
        return there != column.texts[k].empty();
    const double number = column.numbers[k];
    return there ? std::abs(OGR_F_GetFieldAsDouble(row, field) - number) <=
                       written_digits * std::abs(number)
                 : std::isnan(number);
}

bool holds_table(GDALDatasetH file, const std::string& sheet, const PictureTable& table)
{
    OGRLayerH read = GDALDatasetGetLayerByName(file, sheet.c_str());
    const auto rows = static_cast<GIntBig>(table.rows);
    const auto columns = static_cast<int>(table.columns.size());
    if (!read || OGR_L_GetFeatureCount(read, TRUE) != rows ||
        OGR_FD_GetFieldCount(OGR_L_GetLayerDefn(read)) != columns)
        return false;
    for (std::size_t k = 0; k < table.rows; ++k) {
        const FeaturePtr row{OGR_L_GetNextFeature(read)};
        for (int field = 0; row && field < columns; ++field)
            if (!same_cell(row.get(), field, table.columns[static_cast<std::size_t>(field)], k))
                return false;
        if (!row)
            return false;
    }
    return true;
}

/// What a spreadsheet file consists of, other than its sheets, which are read by themselves.
constexpr std::array parts{"[Content_Types].xml", "_rels/.rels",
                           "docProps/app.xml",    "docProps/core.xml",
                           "xl/styles.xml",       "xl/_rels/workbook.xml.rels",
                           "xl/workbook.xml",     "xl/theme/theme1.xml"};

bool is_whole(const std::string& path, const char* part)
{
    CPLXMLNode* const root = CPLParseXMLFile(("/vsizip/" + path + "/" + part).c_str());
    CPLDestroyXMLNode(root); // or null
    return root != nullptr;
}

bool holds_about(GDALDatasetH file, const std::vector<AboutLine>& about)
{
    PictureTable lines{{{"about", PictureColumn::Kind::text, {}, {}},
                        {"value", PictureColumn::Kind::text, {}, {}}},
                       about.size()};
    for (const auto& [what, value] : about) {
        lines.columns[0].texts.push_back(what);
        lines.columns[1].texts.push_back(value);
    }
    return holds_table(file, "about", lines);
}

/// Reads the file again.
bool holds(const std::string& path, const std::string& sheet, const PictureTable& table,
           const std::vector<AboutLine>& about)
{
    const GdalErrors errors;
    // The first row is a heading by our word: GDAL would guess, and a table of texts only gives it
    // no hint.
    const GdalThreadOption header{"OGR_XLSX_HEADERS", "FORCE"};
    const std::array<const char*, 2> drivers = {"XLSX", nullptr};
    const DatasetPtr file{GDALOpenEx(path.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY,
                                     drivers.data(), nullptr, nullptr)};
    return file && holds_table(file.get(), sheet, table) && holds_about(file.get(), about) &&
           std::all_of(parts.begin(), parts.end(),
                       [&path](const char* part) { return is_whole(path, part); }) &&
           errors.failures() == 0;
}

} // namespace

void write_spreadsheet(const std::filesystem::path& path, const std::string& sheet,
                       const PictureTable& table, std::vector<AboutLine> about)
{
    ScratchFolder scratch{path};
    const std::filesystem::path made = scratch.path() / "made.xlsx";
    for (const PictureColumn& column : table.columns)
        about.emplace_back("column " + column.name, column.heading);
    if (const std::string fault = make_workbook(made, sheet, table, about); !fault.empty())
        throw not_written(path, fault);
    sync_to_disk(made);
    if (!holds(made.string(), sheet, table, about))
        throw not_written(path, "it would not hold the table");
    std::error_code error;
    std::filesystem::rename(made, path, error);
    if (error)
        throw output_error("the file cannot be renamed", path, error.value());
    scratch.remove();
}

} // namespace fuelring
