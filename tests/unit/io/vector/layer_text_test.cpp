// SPDX-License-Identifier: Apache-2.0

// Filters and texts of layers, format by format.
#include "base/utf8.hpp"
#include "io/vector/attribute_filter.hpp"
#include "unit/io/community/community_fixture.hpp"

#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>

using namespace fuelring;
using namespace fuelring::test;

namespace {

struct Format {
    std::string driver, file;
};
const Format formats[] = {{"GPKG", "town.gpkg"},       {"ESRI Shapefile", "town.shp"},
                          {"GeoJSON", "town.geojson"}, {"FlatGeobuf", "town.fgb"},
                          {"CSV", "town.csv"},         {"SQLite", "town.sqlite"}};

/// Two houses whose ids are these.
Town two_houses_in(const Format& format, const std::string& first, const std::string& second)
{
    Town town;
    town.sources.structures = {{.path = town.folder / format.file}, "id"};
    if (format.driver == "CSV") {
        town.sources.structures.crs = "EPSG:32632";
        write_text(town.folder / format.file, "WKT,id\n\"" + rectangle(10, -20, 10, 10) + "\"," +
                                                  first + "\n\"" + rectangle(40, -20, 10, 10) +
                                                  "\"," + second + "\n");
        return town;
    }
    write_layer(town.folder / format.file,
                {.name = "town", .driver = format.driver, .columns = {"id"}},
                {{rectangle(10, -20, 10, 10), {first}}, {rectangle(40, -20, 10, 10), {second}}});
    return town;
}

/// Shapefiles from old programs do not say what they are written in: no file of a code page, and
/// none in byte 29 of the table.
void forget_encoding(const std::string& without_ending)
{
    std::filesystem::remove(without_ending + ".cpg");
    std::fstream table{without_ending + ".dbf", std::ios::in | std::ios::out | std::ios::binary};
    table.seekp(29);
    table.put('\0');
    REQUIRE(table.good());
}

} // namespace

TEST_CASE("a filter is read whole or not at all, in every format")
{
    for (const Format& format : formats) {
        CAPTURE(format.driver);
        Town town = two_houses_in(format, "a;b", "c--d");
        town.sources.structures.where = "id = 'a;b' OR id = 'no ''-- /*'"; // texts hold anything
        CHECK(town.read().structures.size() == 1);
        struct Case {
            std::string where, reason;
        };
        const Case cases[] = {{"id = 'a;b'; AND id = 'c--d'", "end at the semicolon"},
                              {"id = 'a;b' -- OR id = 'c--d'", "end at the comment --"},
                              {"id = 'a;b' /* first */", "end at the comment /*"},
                              {"id = 'a;b", "the quote ' is not closed"},
                              {"\"id = 'x'", "the quote \" is not closed"}};
        for (const Case& c : cases) {
            CAPTURE(c.where);
            town.sources.structures.where = c.where;
            const Error e = error_of([&] { town.read(); });
            CHECK(e.kind() == Failure::input);
            CHECK(e.message().find(c.reason) != std::string::npos);
            CHECK(e.message().find("inputs.structures.where") != std::string::npos);
        }
    }
}

TEST_CASE("texts that are no UTF-8 are refused, or read by the encoding that is named")
{
    // "a" and "Stra\xDFe" of ISO 8859-1, in which DF is the sharp s: C3 9F in UTF-8.
    const std::string latin = "Stra\xDF"
                              "e";
    for (const Format& format : formats) {
        CAPTURE(format.driver);
        Town town = two_houses_in(format, "a", latin);
        if (format.driver == "ESRI Shapefile")
            forget_encoding(town.folder / "town");
        const Error e = error_of([&] { town.read(); });
        CHECK(e.kind() == Failure::input);
        CHECK(e.message().find("column id is not UTF-8: 'Stra\\xDFe'") != std::string::npos);
        CHECK(e.message().find("inputs.structures.encoding") != std::string::npos);
        town.sources.structures.encoding = "ISO-8859-1";
        CHECK(town.read().structures.back().id == "a"); // sorted: S before a
        CHECK(town.read().structures.front().id == "Stra\u00DFe");
        town.sources.structures.where = "id = 'Stra\u00DFe'"; // written as people write
        CHECK(town.read().structures.size() == 1);
    }
}

TEST_CASE("columns are found by their names in the encoding of the file")
{
    Town town;
    town.structures({{rectangle(10, -20, 10, 10), {"a"}}});
    write_text(town.folder / "a.csv", "stra\xDF"
                                      "e,x,y\nH\xFCgel 1,500015,5539985\n");
    town.sources.addresses =
        AddressSource{{.path = town.folder / "a.csv", .crs = "EPSG:32632"}, "stra\u00DFe", 1};
    CHECK(error_of([&] { town.read(); }).message().find("the columns are stra\\xDFe") !=
          std::string::npos);
    town.sources.addresses->encoding = "WINDOWS-1252";
    CHECK(town.read().addresses.front().text == "H\u00FCgel 1");
}

TEST_CASE("UTF-8 is told from what is none")
{
    struct Case {
        std::string_view why, text;
        bool is;
    };
    using namespace std::string_view_literals;
    // Rows after the first two: RFC 3629, sections 3 and 4.
    const Case cases[] = {{"ASCII", "Elm 1"sv, true},
                          {"two, three and four bytes", "\u00DF \u20AC \U0001F332"sv, true},
                          {"a lone byte", "\xDF"sv, false},
                          {"a following byte first", "\x80"sv, false},
                          {"cut short", "\xE2\x82"sv, false},
                          {"longer than need be", "\xC0\xAF"sv, false},
                          {"the same in three bytes", "\xE0\x80\xAF"sv, false},
                          {"half of a pair of UTF-16", "\xED\xA0\x80"sv, false},
                          {"the last character", "\xF4\x8F\xBF\xBF"sv, true},
                          {"beyond it", "\xF4\x90\x80\x80"sv, false}};
    for (const Case& c : cases) {
        CAPTURE(c.why);
        CHECK(is_utf8(c.text) == c.is);
    }
}
