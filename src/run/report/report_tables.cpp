// SPDX-License-Identifier: Apache-2.0
#include "base/caution.hpp"
#include "io/tables/spreadsheet_out.hpp"
#include "run/report/report_parts.hpp"

#include <fmt/format.h>

namespace fuelring {

void write_spreadsheets(const AddFile& add, const RunPicture& picture, Log& log)
{
    struct Sheet {
        const char* name;
        const char* file;
        const PictureTable& table;
    };
    const auto given = [](const std::string& text) { return text.empty() ? "not given" : text; };
    const std::vector<AboutLine> about{
        {"community", given(picture.community)},
        {"date of the imagery", given(picture.imagery_date)},
        {"caution", caution},
        {"columns", "as in the CSV of the same name, whose names of them stand below; cells hold "
                    "more digits than they show"}};
    for (const Sheet& sheet : {Sheet{layers_of_run::addresses, "addresses.xlsx", picture.addresses},
                               Sheet{layers_of_run::neighbourhoods, "neighbourhoods.xlsx",
                                     picture.neighbourhoods.table}}) {
        if (sheet.table.rows >= most_sheet_rows) {
            log.warn(
                fmt::format("{} was not written: a spreadsheet has room for {} rows and the table "
                            "has more; use the CSV file",
                            sheet.file, most_sheet_rows));
            continue;
        }
        write_spreadsheet(add(sheet.file), sheet.name, sheet.table, about);
    }
}

} // namespace fuelring
