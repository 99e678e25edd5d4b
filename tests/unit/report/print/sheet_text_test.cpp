// SPDX-License-Identifier: Apache-2.0
#include "run/report/sheet_text_in.hpp"
#include "support/temp_folder.hpp"

#include <fuelring/error.hpp>

#include <doctest/doctest.h>

#include <algorithm>
#include <set>
#include <string>
#include <string_view>

using namespace fuelring;
using namespace fuelring::report;
using fuelring::test::TempFolder;

namespace {

const std::filesystem::path texts = FUELRING_TEXTS;

std::string replaced(std::string text, std::string_view from, std::string_view to)
{
    const std::size_t at = text.find(from);
    REQUIRE(at != std::string::npos);
    return text.replace(at, from.size(), to);
}

std::size_t line_of(const std::string& text, std::string_view part)
{
    const std::string before = text.substr(0, text.find(part));
    return 1 + static_cast<std::size_t>(std::count(before.begin(), before.end(), '\n'));
}

} // namespace

TEST_CASE("every text that is shipped says something at every distance, and what the program says")
{
    for (const char* name : {"english.toml", "french.toml"}) {
        CAPTURE(std::string{name});
        const SheetText text = load_sheet_text(texts / name);
        std::set<AdvicePlace> places;
        std::set<Occasion> used;
        for (const Advice& advice : text.advice) {
            places.insert(advice.place);
            for (const AdviceItem& item : advice.items) {
                used.insert(item.when);
                CHECK(text.sources.count(item.source) == 1);
            }
        }
        CHECK(places.size() == advice_places.size());
        CHECK(used.size() == occasions.size());
    }
    const SheetText carried = english_sheet_text();
    CHECK((carried.words == load_sheet_text(texts / "english.toml").words));
}

TEST_CASE("a fault in a text is told with its file, its line and its key")
{
    struct Fault {
        std::string_view why, from, to, key, said;
    };
    const Fault faults[] = {
        {"a key is misspelt", "nearest_none =", "nearest_non =", "figures.nearest_non",
         "unknown key"},
        {"a name in braces is not known", "is {distance}", "is {metres}", "figures.nearest",
         "{metres} is not known here, but distance"},
        {"nothing is filled in here", "What grows how close to your home", "What {x}",
         "page.stands", "{x}: nothing is filled in here"},
        {"a brace is left open", "is {distance}", "is {distance", "figures.nearest",
         "a brace without its partner"},
        {"a word is empty", "\"Before you start\"", "\"\"", "page.before", "the text is empty"},
        {"a month too many", "months = [", "months = [\"Thirteenth\", ", "months",
         "13 names where 12 are expected"},
        {"a date has another name", "{month} {day}", "{month} {weekday}", "date_style",
         "{weekday} is not known here"},
        {"an occasion is none", "when = \"wall_clear\"", "when = \"sometimes\"",
         "advice.items.when", "sometimes where one of always"},
        {"a place is none", "place = \"sparks\"", "place = \"roof\"", "advice.place",
         "roof where one of wall"},
        {"a source is none", "source = \"common\"", "source = \"other\"", "advice.items.source",
         "other is none of the table [sources]"},
    };
    const std::string english = fuelring::test::text_of(texts / "english.toml");
    const TempFolder folder;
    const std::filesystem::path file = folder.path() / "words.toml";
    for (const Fault& fault : faults) {
        CAPTURE(fault.why);
        const std::string text = replaced(english, fault.from, fault.to);
        fuelring::test::write_text(file, text);
        const std::string place = file.string() + ", line " +
                                  std::to_string(line_of(text, fault.to)) + ", " +
                                  std::string{fault.key};
        try {
            load_sheet_text(file);
            FAIL("no error");
        } catch (const Error& e) {
            CHECK(e.kind() == Failure::usage);
            CHECK(e.where() == place);
            CHECK(std::string_view{e.what()}.find(fault.said) != std::string_view::npos);
        }
    }
    fuelring::test::write_text(file, replaced(english, "no_parcels = ", "# "));
    CHECK_THROWS_WITH_AS(load_sheet_text(file), "the key is missing: text is needed", Error);
}

TEST_CASE("numbers are written in the manner of the language")
{
    const SheetText french = load_sheet_text(texts / "french.toml");
    CHECK(french.number(22007.853, 0) == "22\u202f008");
    CHECK(french.number(-1234.5, 1) == "-1\u202f234,5");
    CHECK(french.number(999, 0) == "999");
    CHECK(french.length(1.5) == "1,5");
    CHECK(french.length(100) == "100");
    CHECK(french.date("2024-07-15") == "15 juillet 2024");
    const SheetText english = load_sheet_text(texts / "english.toml");
    CHECK(english.number(22007.853, 0) == "22,008");
    CHECK(english.date("2024-07-15") == "July 15, 2024");
    CHECK(english.date("2024-13-15") == "2024-13-15");
    CHECK(english.date("summer 2024") == "summer 2024");
    CHECK(french.number(-0.04, 1) == "0,0");
}
