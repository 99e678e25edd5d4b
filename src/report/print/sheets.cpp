// SPDX-License-Identifier: Apache-2.0
#include "report/print/sheets.hpp"

#include <algorithm>
#include <cctype>

namespace fuelring::report {

std::string document_date(const RunFacts& run)
{
    constexpr std::string_view pattern = "0000-00-00";
    const std::string& date = run.imagery_date;
    const bool is_date =
        date.size() == pattern.size() &&
        std::equal(date.begin(), date.end(), pattern.begin(), [](char c, char p) {
            return p == '0' ? std::isdigit(static_cast<unsigned char>(c)) != 0 : c == p;
        });
    return (is_date ? date : "1970-01-01") + "T00:00:00Z";
}

void write_sheets(const Sink& sink, Paper paper, std::size_t homes,
                  const std::function<HomeSheet(std::size_t)>& sheet_of, const RunFacts& run,
                  const SheetText& text)
{
    PdfDocument document{
        sink,
        paper,
        {text.word("page.kicker") + ": " + run.community, run.program, document_date(run)}};
    TextSetter setter;
    for (std::size_t k = 0; k < homes; ++k) {
        const HomeSheet sheet = sheet_of(k);
        const std::string& address = sheet.figures.address;
        draw_sheet(document.cr(), paper, sheet, run, text, setter);
        document.name_page(address.empty() ? sheet.figures.structure_id : address);
        document.end_page();
    }
    document.finish();
}

} // namespace fuelring::report
