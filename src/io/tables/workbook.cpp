// SPDX-License-Identifier: Apache-2.0

// Rows go to the disk as they come, so that memory does not hold them: texts then stand in their
// cells and not in a list of their own. Times in the file are those given here; the zip has none.
#include "io/tables/workbook.hpp"

#include "base/caution.hpp"
#include "base/grouped.hpp"

#include <fmt/format.h>
#include <xlsxwriter.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <memory>
#include <new>
#include <utility>

namespace fuelring {

namespace {

constexpr std::time_t fixed_time = 946'684'800; // 2000-01-01, as in a GeoPackage
constexpr double line_points = 15;              ///< height of a line
constexpr std::size_t most_characters = 32'767; ///< of a cell
constexpr std::size_t narrowest = 9, widest = 40;
constexpr std::size_t room_of_filter = 3; ///< characters that the button takes

struct BookFree {
    void operator()(lxw_workbook* book) const noexcept { lxw_workbook_free(book); }
};

/// What fits into a cell: that many characters of UTF-8.
std::string fitting(const std::string& text)
{
    std::size_t characters = 0;
    for (std::size_t k = 0; k < text.size(); ++k)
        if ((static_cast<unsigned char>(text[k]) & 0xC0) != 0x80 && ++characters > most_characters)
            return text.substr(0, k);
    return text;
}

/// Whose digits people copy, and nobody counts.
bool is_coordinate(const PictureColumn& column)
{
    return column.name == "x" || column.name == "y";
}

/// Characters of the longest cell, as it is shown.
std::size_t width_of_cells(const PictureColumn& column)
{
    std::size_t width = 0;
    for (const std::string& text : column.texts)
        width = std::max(width, text.size());
    double most = 0;
    for (const double number : column.numbers)
        most = std::max(most, std::isnan(number) ? 0 : std::abs(number));
    const std::string digits = fmt::format("{:.{}f}", most, column.decimals);
    return std::max(width,
                    ("-" + with_commas(digits, std::min(digits.find('.'), digits.size()))).size());
}

/// Newer versions of the library have more options: they stay zero.
lxw_workbook_options options_in(std::string& folder)
{
    lxw_workbook_options options{};
    options.constant_memory = LXW_TRUE;
    options.tmpdir = folder.data();
    options.use_zip64 = LXW_FALSE;
    return options;
}

class Workbook {
public:
    explicit Workbook(const std::filesystem::path& path)
        : folder_{path.parent_path().string()}, options_{options_in(folder_)},
          book_{workbook_new_opt(path.c_str(), &options_)}
    {
        if (!book_)
            throw std::bad_alloc{};
        heading_ = workbook_add_format(book_.get());
        format_set_bold(heading_);
        format_set_text_wrap(heading_);
        format_set_align(heading_, LXW_ALIGN_VERTICAL_TOP);
        format_set_bottom(heading_, LXW_BORDER_THIN);
        wrapped_ = workbook_add_format(book_.get());
        format_set_text_wrap(wrapped_);
        format_set_align(wrapped_, LXW_ALIGN_VERTICAL_TOP);
        std::string program = "fuelring", about = caution;
        lxw_doc_properties properties{};
        properties.author = program.data();
        properties.comments = about.data();
        properties.created = fixed_time;
        note(workbook_set_properties(book_.get(), &properties));
    }

    void add_table(const std::string& name, const PictureTable& table)
    {
        lxw_worksheet* const sheet = begin(name, table.rows, table.columns.size());
        std::vector<lxw_format*> formats;
        std::size_t lines = 1;
        for (const PictureColumn& column : table.columns) {
            // A heading may take three lines before its column is made wider for it.
            const std::size_t heading = column.heading.size() + room_of_filter;
            const std::size_t width =
                std::clamp(std::max(width_of_cells(column) + 1, heading / 3), narrowest, widest);
            lines = std::max(lines, heading / width + 2); // words leave a gap at the end of lines
            const auto k = static_cast<lxw_col_t>(formats.size());
            note(worksheet_set_column(sheet, k, k, static_cast<double>(width), nullptr));
            formats.push_back(numbers_of(column));
        }
        // The library measures no text, so the height of the first row is reckoned from its lines.
        note(worksheet_set_row(sheet, 0, static_cast<double>(lines) * line_points, nullptr));
        for (std::size_t k = 0; k < table.columns.size(); ++k)
            put(sheet, 0, k, table.columns[k].heading, heading_);
        for (std::size_t row = 0; row < table.rows; ++row)
            for (std::size_t k = 0; k < table.columns.size(); ++k) {
                const PictureColumn& column = table.columns[k];
                if (column.kind == PictureColumn::Kind::text)
                    put(sheet, row + 1, k, column.texts[row], nullptr);
                else if (!std::isnan(column.numbers[row]))
                    note(worksheet_write_number(sheet, static_cast<lxw_row_t>(row + 1),
                                                static_cast<lxw_col_t>(k), column.numbers[row],
                                                formats[k]));
            }
    }

    void add_about(const std::vector<AboutLine>& about)
    {
        lxw_worksheet* const sheet = begin("about", about.size(), 2);
        note(worksheet_set_column(sheet, 0, 0, widest, nullptr));
        note(worksheet_set_column(sheet, 1, 1, 2 * widest, nullptr));
        put(sheet, 0, 0, "about", heading_);
        put(sheet, 0, 1, "value", heading_);
        for (std::size_t row = 0; row < about.size(); ++row) {
            put(sheet, row + 1, 0, about[row].first, wrapped_);
            put(sheet, row + 1, 1, about[row].second, wrapped_);
        }
    }

    std::string finish()
    {
        note(workbook_close(book_.release())); // it frees the book
        return fault_ == LXW_NO_ERROR ? std::string{} : lxw_strerror(fault_);
    }

private:
    /// A sheet whose first row stays in view, with a filter, one page wide on paper.
    lxw_worksheet* begin(const std::string& name, std::size_t rows, std::size_t columns)
    {
        lxw_worksheet* const sheet = workbook_add_worksheet(book_.get(), name.c_str());
        if (!sheet)
            throw std::bad_alloc{};
        worksheet_freeze_panes(sheet, 1, 0);
        note(worksheet_autofilter(sheet, 0, 0, static_cast<lxw_row_t>(rows),
                                  static_cast<lxw_col_t>(std::max<std::size_t>(columns, 1) - 1)));
        worksheet_set_landscape(sheet);
        worksheet_fit_to_pages(sheet, 1, 0);
        note(worksheet_repeat_rows(sheet, 0, 0));
        return sheet;
    }

    void put(lxw_worksheet* sheet, std::size_t row, std::size_t column, const std::string& text,
             lxw_format* format)
    {
        if (!text.empty())
            note(worksheet_write_string(sheet, static_cast<lxw_row_t>(row),
                                        static_cast<lxw_col_t>(column), fitting(text).c_str(),
                                        format));
    }

    /// "#,##0.000" of a column with 3 decimals.
    lxw_format* numbers_of(const PictureColumn& column)
    {
        lxw_format*& format = numbers_[{column.decimals, is_coordinate(column)}];
        if (!format) {
            format = workbook_add_format(book_.get());
            const std::string zero =
                fmt::format("{}{:.{}f}", is_coordinate(column) ? "" : "#,##", 0.0, column.decimals);
            format_set_num_format(format, zero.c_str());
        }
        return format;
    }

    void note(lxw_error error)
    {
        if (fault_ == LXW_NO_ERROR)
            fault_ = error;
    }

    std::string folder_;
    lxw_workbook_options options_;
    std::unique_ptr<lxw_workbook, BookFree> book_;
    lxw_format* heading_ = nullptr;
    lxw_format* wrapped_ = nullptr;
    std::map<std::pair<int, bool>, lxw_format*> numbers_; ///< by decimals, coordinates apart
    lxw_error fault_ = LXW_NO_ERROR;                      ///< the first
};

} // namespace

std::string make_workbook(const std::filesystem::path& path, const std::string& sheet,
                          const PictureTable& table, const std::vector<AboutLine>& about)
{
    Workbook book{path};
    book.add_table(sheet, table);
    book.add_about(about);
    return book.finish();
}

} // namespace fuelring
