// SPDX-License-Identifier: Apache-2.0
#include "io/tables/csv_table.hpp"

#include "base/program/csv_writer.hpp"

#include <utility>

namespace fuelring {

namespace {

/// Bytes gathered before they are handed to the file.
constexpr std::size_t gathered_bytes = 1 << 20;

const char* csvt_word(GpkgField::Type type)
{
    return type == GpkgField::Type::integer ? "\"Integer\""
           : type == GpkgField::Type::real  ? "\"Real\""
                                            : "\"String\"";
}

bool is_number(GpkgField::Type type)
{
    return type == GpkgField::Type::integer || type == GpkgField::Type::real;
}

} // namespace

CsvTable::CsvTable(const std::filesystem::path& path, std::vector<ColumnHead> columns, bool bom)
    : path_(path), columns_(std::move(columns)), file_(path), gathered_(bom ? utf8_mark : "")
{
    for (const ColumnHead& column : columns_)
        gathered_.append(&column == &columns_.front() ? "" : ",").append(column.name);
    gathered_ += csv_line_end;
}

void CsvTable::append_cell(const GpkgValue& value, const ColumnHead& column)
{
    if (const auto* text = std::get_if<std::string>(&value)) {
        if (is_number(column.type))
            gathered_ += *text;
        else
            neutralised_ += append_text_cell(gathered_, *text) ? 1 : 0;
    } else if (const auto* whole = std::get_if<std::int64_t>(&value)) {
        gathered_ += std::to_string(*whole);
    } else if (const auto* real = std::get_if<double>(&value)) {
        append_number(gathered_, *real, column.decimals);
    }
}

void CsvTable::add_row(std::span<const GpkgValue> values)
{
    for (std::size_t k = 0; k < values.size(); ++k) {
        if (k > 0)
            gathered_ += ',';
        append_cell(values[k], columns_[k]);
    }
    gathered_ += csv_line_end;
    ++records_;
    if (gathered_.size() >= gathered_bytes) {
        file_.write(gathered_);
        gathered_.clear();
    }
}

std::int64_t CsvTable::finish()
{
    file_.write(gathered_);
    file_.finish();
    // The digest that the file was compared by says that bytes came back; this says that they are
    // rows.
    require_csv_records(path_, records_);
    std::string types;
    for (const ColumnHead& column : columns_)
        types.append(types.empty() ? "" : ",").append(csvt_word(column.type));
    write_durably(std::filesystem::path{path_}.replace_extension(".csvt"), types + "\r\n");
    return neutralised_;
}

} // namespace fuelring
