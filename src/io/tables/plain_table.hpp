// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/tables/csv_table.hpp"

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace fuelring {

/// A table with its values, for a CSV file and for a layer of a GeoPackage alike.
struct PlainTable {
    using Column = CsvTable::Heading;
    struct Row {
        std::vector<GpkgValue> values;
        std::string wkb; ///< shape, empty for none; the CSV has no shapes
    };
    std::vector<Column> columns;
    std::vector<Row> rows;
};

/// Values of one row, put in one after the other.
class RowValues {
public:
    RowValues& number(std::optional<double> value); ///< null where it is not finite
    RowValues& count(std::optional<std::int64_t> value);
    RowValues& text(const std::string& value); ///< null where it is empty
    std::vector<GpkgValue> take() { return std::move(values_); }

private:
    std::vector<GpkgValue> values_;
};

/// Written, fsynced, read back, its records counted; the types beside it as .csvt. Returns the
/// number of text cells that were made inert. Throws: Error{output}.
std::int64_t write_plain_csv(const std::filesystem::path& path, const PlainTable& table, bool bom);

/// Adds the table as a layer of multi-polygons. Throws: Error{output}.
void add_plain_layer(GpkgFile& file, const std::string& name, const PlainTable& table);

} // namespace fuelring
