// SPDX-License-Identifier: Apache-2.0
#include "io/tables/spreadsheet_out.hpp"
#include "run/manifest/manifest.hpp"
#include "run/report/report_parts.hpp"

#include <fmt/format.h>

namespace fuelring {

namespace {

std::string text_at(const nlohmann::json& manifest, const char* key)
{
    const auto found = manifest.find(key);
    return found != manifest.end() && found->is_string() ? found->get<std::string>()
                                                         : std::string{"not given"};
}

} // namespace

void write_spreadsheets(const AddFile& add, const RunFolder& run, Log& log)
{
    struct Table {
        const char* layer;
        const char* file;
    };
    const std::vector<AboutLine> about{
        {"community", text_at(run.manifest, "community")},
        {"date of the imagery", text_at(run.manifest, "imagery_date")},
        {"caution", caution},
        {"columns", "as in the CSV of the same name; numbers are not rounded"}};
    for (const Table& table : {Table{layers_of_run::addresses, "addresses.xlsx"},
                               Table{layers_of_run::neighbourhoods, "neighbourhoods.xlsx"}}) {
        const std::filesystem::path path = run.file(tables_file);
        if (!sheet_holds(path, table.layer)) {
            log.warn(
                fmt::format("{} was not written: a spreadsheet has room for {} rows and the table "
                            "has more; use the CSV file",
                            table.file, most_sheet_rows));
            continue;
        }
        write_spreadsheet(add(table.file), path, table.layer, about);
    }
}

} // namespace fuelring
