// SPDX-License-Identifier: Apache-2.0
#include "io/tables/spreadsheet_out.hpp"

#include "base/program/durable_file.hpp"
#include "io/gdal/errors.hpp"
#include "io/gdal/handles.hpp"
#include "io/gdal/memory_file.hpp"
#include "io/geopackage/gpkg_file.hpp"

#include <fuelring/error.hpp>

#include <array>
#include <cmath>

namespace fuelring {

namespace {

constexpr const char* fixed_date = "2000-01-01T00:00:00.000Z";
/// GDAL writes 15 digits.
constexpr double written_digits = 1e-14;

Error not_written(const std::filesystem::path& path, const std::string& reason)
{
    return {Failure::output, "the spreadsheet cannot be written: " + reason, path.string(),
            "check the room on the disk and its limits (df -h, ulimit -f), then run again"};
}

DatasetPtr open_with(const char* driver, const std::filesystem::path& path)
{
    const std::array<const char*, 2> drivers = {driver, nullptr};
    return DatasetPtr{GDALOpenEx(path.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, drivers.data(),
                                 nullptr, nullptr)};
}

OGRLayerH layer_of(GDALDatasetH file, const std::filesystem::path& geopackage,
                   const std::string& layer, const GdalErrors& errors)
{
    OGRLayerH rows = file ? GDALDatasetGetLayerByName(file, layer.c_str()) : nullptr;
    if (!rows)
        throw Error{Failure::input, "the layer " + layer + " cannot be read: " + errors.reason(),
                    geopackage.string(), "run fuelring map again"};
    return rows;
}

OGRLayerH begin_sheet(GDALDatasetH file, const std::string& name)
{
    return GDALDatasetCreateLayer(file, name.c_str(), nullptr, wkbNone, nullptr);
}

bool add_column(OGRLayerH sheet, const char* name, OGRFieldType type)
{
    const FieldDefnPtr column{OGR_Fld_Create(name, type)};
    return OGR_L_CreateField(sheet, column.get(), FALSE) == OGRERR_NONE;
}

void copy_cell(OGRFeatureH from, OGRFeatureH to, int column)
{
    if (!OGR_F_IsFieldSetAndNotNull(from, column))
        return; // an empty cell
    switch (OGR_Fld_GetType(OGR_F_GetFieldDefnRef(from, column))) {
    case OFTInteger64:
        OGR_F_SetFieldInteger64(to, column, OGR_F_GetFieldAsInteger64(from, column));
        break;
    case OFTReal:
        OGR_F_SetFieldDouble(to, column, OGR_F_GetFieldAsDouble(from, column));
        break;
    default:
        OGR_F_SetFieldString(to, column, OGR_F_GetFieldAsString(from, column));
    }
}

bool copy_rows(OGRLayerH from, OGRLayerH to)
{
    OGRFeatureDefnH columns = OGR_L_GetLayerDefn(from);
    for (int k = 0; k < OGR_FD_GetFieldCount(columns); ++k) {
        OGRFieldDefnH column = OGR_FD_GetFieldDefn(columns, k);
        if (!add_column(to, OGR_Fld_GetNameRef(column), OGR_Fld_GetType(column)))
            return false;
    }
    OGR_L_ResetReading(from);
    for (FeaturePtr row{OGR_L_GetNextFeature(from)}; row; row.reset(OGR_L_GetNextFeature(from))) {
        const FeaturePtr copy{OGR_F_Create(OGR_L_GetLayerDefn(to))};
        for (int k = 0; k < OGR_FD_GetFieldCount(columns); ++k)
            copy_cell(row.get(), copy.get(), k);
        if (OGR_L_CreateFeature(to, copy.get()) != OGRERR_NONE)
            return false;
    }
    return true;
}

bool add_about(GDALDatasetH file, const std::vector<AboutLine>& about)
{
    OGRLayerH sheet = begin_sheet(file, "about");
    if (!sheet || !add_column(sheet, "about", OFTString) || !add_column(sheet, "value", OFTString))
        return false;
    for (const auto& [what, value] : about) {
        const FeaturePtr line{OGR_F_Create(OGR_L_GetLayerDefn(sheet))};
        OGR_F_SetFieldString(line.get(), 0, what.c_str());
        OGR_F_SetFieldString(line.get(), 1, value.c_str());
        if (OGR_L_CreateFeature(sheet, line.get()) != OGRERR_NONE)
            return false;
    }
    return true;
}

bool same_numbers(OGRFeatureH a, OGRFeatureH b)
{
    for (int k = 0; k < OGR_F_GetFieldCount(a); ++k) {
        if (OGR_Fld_GetType(OGR_F_GetFieldDefnRef(a, k)) == OFTString)
            continue;
        const bool is_there = OGR_F_IsFieldSetAndNotNull(a, k) != 0;
        if (is_there != (OGR_F_IsFieldSetAndNotNull(b, k) != 0))
            return false;
        const double number = OGR_F_GetFieldAsDouble(a, k);
        if (is_there &&
            std::abs(OGR_F_GetFieldAsDouble(b, k) - number) > written_digits * std::abs(number))
            return false;
    }
    return true;
}

/// Reads the file again.
bool holds(const std::filesystem::path& path, const std::string& sheet, OGRLayerH rows)
{
    const GdalThreadOption header{"OGR_XLSX_HEADERS", "FORCE"};
    const DatasetPtr file = open_with("XLSX", path);
    OGRLayerH read = file ? GDALDatasetGetLayerByName(file.get(), sheet.c_str()) : nullptr;
    if (!read || OGR_L_GetFeatureCount(read, TRUE) != OGR_L_GetFeatureCount(rows, TRUE) ||
        OGR_FD_GetFieldCount(OGR_L_GetLayerDefn(read)) !=
            OGR_FD_GetFieldCount(OGR_L_GetLayerDefn(rows)))
        return false;
    OGR_L_ResetReading(rows);
    for (FeaturePtr row{OGR_L_GetNextFeature(rows)}; row; row.reset(OGR_L_GetNextFeature(rows))) {
        const FeaturePtr cells{OGR_L_GetNextFeature(read)};
        if (!cells || !same_numbers(row.get(), cells.get()))
            return false;
    }
    return true;
}

} // namespace

bool sheet_holds(const std::filesystem::path& geopackage, const std::string& layer)
{
    const GdalErrors errors;
    const DatasetPtr file = open_with("GPKG", geopackage);
    return OGR_L_GetFeatureCount(layer_of(file.get(), geopackage, layer, errors), TRUE) <
           most_sheet_rows; // one is the header's
}

void write_spreadsheet(const std::filesystem::path& path, const std::filesystem::path& geopackage,
                       const std::string& layer, const std::vector<AboutLine>& about)
{
    const GdalErrors errors;
    const GdalThreadOption date{"OGR_CURRENT_DATE", fixed_date};
    const DatasetPtr from = open_with("GPKG", geopackage);
    OGRLayerH rows = layer_of(from.get(), geopackage, layer, errors);
    const MemoryFile made{"xlsx"};
    DatasetPtr file{GDALCreate(GDALGetDriverByName("XLSX"), made.name().c_str(), 0, 0, 0,
                               GDT_Unknown, nullptr)};
    OGRLayerH sheet = file ? begin_sheet(file.get(), layer) : nullptr;
    if (!sheet || !copy_rows(rows, sheet) || !add_about(file.get(), about))
        throw not_written(path, errors.reason());
    file.reset();
    if (errors.failures() > 0)
        throw not_written(path, errors.reason());
    if (!holds(made.name(), layer, rows))
        throw not_written(path, "it would not hold the numbers of " + geopackage.string());
    write_durably(path, made.bytes());
}

} // namespace fuelring
