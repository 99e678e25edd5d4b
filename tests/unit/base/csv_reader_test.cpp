// SPDX-License-Identifier: Apache-2.0
#include "base/csv_reader.hpp"
#include "base/program/csv_writer.hpp"
#include "unit/io/data_files.hpp"

#include <doctest/doctest.h>

#include <string>
#include <string_view>
#include <vector>

using namespace fuelring;
using namespace fuelring::test;

namespace {

using Records = std::vector<std::vector<std::string>>;

Records records_of(std::string_view text, CsvStyle style = CsvStyle::by_people)
{
    CsvReader reader{std::string{text}, style, "t.csv"};
    Records records;
    while (reader.next())
        records.push_back(reader.cells());
    return records;
}

} // namespace

TEST_CASE("a table by people is read however it was saved")
{
    struct Case {
        std::string_view why, text;
        Records records;
    };
    const Case cases[] = {
        {"line feeds", "a,b\n1,2\n", {{"a", "b"}, {"1", "2"}}},
        {"as spreadsheets write",
         "\xEF\xBB\xBF"
         "a,b\r\n1,2\r\n",
         {{"a", "b"}, {"1", "2"}}},
        {"no end of the last line", "a,b\n1,2", {{"a", "b"}, {"1", "2"}}},
        {"blanks around cells", " a ,\tb\t\n 1, 2 \n", {{"a", "b"}, {"1", "2"}}},
        {"blanks in quotes are meant", "a,b\n\" 1 \", \" 2\"\n", {{"a", "b"}, {" 1 ", " 2"}}},
        {"comma and quote in quotes",
         "a,b\n\"x, y\",\"say \"\"z\"\"\"\n",
         {{"a", "b"}, {"x, y", "say \"z\""}}},
        {"comments and empty lines", "# of 2026\n\na,b\n  \n#1,2\n3,4\n", {{"a", "b"}, {"3", "4"}}},
        {"empty cells", "a,b\n,\n\"\",\n", {{"a", "b"}, {"", ""}, {"", ""}}},
        {"nothing", "", {}},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        CHECK(records_of(c.text) == c.records);
    }
}

TEST_CASE("what is wrong with a table by people is told with its line")
{
    struct Case {
        std::string_view why, text, message;
    };
    const Case cases[] = {
        {"a quote that was forgotten", "a,b\n# note\n1,\"2\n3,4\n",
         "t.csv, line 3: a quoted cell does not end on its line"},
        {"text behind a quote", "a,b\n\n\"1\"x,2\n",
         "t.csv, line 3: text follows the closing quote of a cell"},
        {"a comma too many", "a,b\n1,2,3\n", "t.csv, line 2: 3 cells where the heading has 2"},
        {"another encoding",
         "a,b\n1,stra\xDF"
         "e\n",
         "t.csv, line 2: the text in column b is not UTF-8: 'stra\\xDFe'"},
        {"UTF-16 with its mark",
         {"\xFF\xFE"
          "a\0,\0b\0",
          8},
         "t.csv: the table is UTF-16, not UTF-8"},
        {"UTF-16 without", {"\0a\0,\0b", 6}, "t.csv: the table is UTF-16, not UTF-8"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        const Error e = error_of([&] { records_of(c.text); });
        CAPTURE(e.message());
        CHECK(e.kind() == Failure::usage);
        CHECK(e.message().starts_with(c.message));
    }
}

TEST_CASE("cells that fuelring wrote come back as they were")
{
    const Records rows = {{"name", "n"},     {"Elm, North", "1"},   {"say \"hello\"", ""},
                          {" blanks ", "2"}, {"two\r\nlines", "3"}, {"#4", "\n"}};
    std::string text{utf8_mark};
    for (const auto& row : rows) {
        append_text_cell(text, row[0]);
        text += ',';
        append_text_cell(text, row[1]);
        text += csv_line_end;
    }
    CHECK(records_of(text, CsvStyle::by_fuelring) == rows);
}
