// SPDX-License-Identifier: Apache-2.0
#include "base/program/csv_writer.hpp"
#include "io/tables/tables_out.hpp"
#include "unit/io/scratch_folder.hpp"

#include <fuelring/error.hpp>

#include <doctest/doctest.h>

#include <charconv>
#include <cmath>
#include <limits>
#include <random>

using namespace fuelring;
using namespace std::string_view_literals;

TEST_CASE("a text cell is what RFC 4180 asks for, and inert in a spreadsheet")
{
    struct Case {
        std::string_view why, text, cell;
    };
    const Case cases[] = {
        {"plain text stays", "12 Larch Way", "12 Larch Way"},
        {"empty stays empty", "", ""},
        {"comma is quoted", "Flat 2, Larch Way", "\"Flat 2, Larch Way\""},
        {"quote is doubled", "the \"Old\" Mill", "\"the \"\"Old\"\" Mill\""},
        {"line feed is quoted", "a\nb", "\"a\nb\""},
        {"carriage return inside is quoted", "a\rb", "\"a\rb\""},
        {"spaces are part of a field", " a ", " a "},
        {"formula is inert", "=1+1", "'=1+1"},
        {"plus is inert", "+49 30", "'+49 30"},
        {"minus is inert", "-5", "'-5"},
        {"at is inert", "@SUM(A1)", "'@SUM(A1)"},
        {"tab in front is inert", "\t=1", "'\t=1"},
        {"carriage return in front is inert", "\r=1", "\"'\r=1\""},
        {"NUL in front is inert", "\0=1"sv, "'\0=1"sv},
        {"blanks do not hide a formula", "  =1", "'  =1"},
        {"nor does a line feed", "\n=1", "\"'\n=1\""},
        {"quoting alone does not stop a formula", "=A1,B1", "\"'=A1,B1\""},
        {"a sign inside is harmless", "A-1", "A-1"},
        {"blanks only", "  ", "  "},
        {"other scripts pass", "Lärchenweg 3", "Lärchenweg 3"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        std::string cell;
        const bool neutralised = append_text_cell(cell, c.text);
        CHECK(cell == c.cell);
        CHECK(neutralised == (cell.find('\'') != std::string::npos));
    }
}

TEST_CASE("a number has a fixed count of decimals, correctly rounded, and never a negative zero")
{
    struct Case {
        std::string_view why;
        double value;
        int decimals;
        std::string_view cell;
    };
    const double nan = std::numeric_limits<double>::quiet_NaN();
    const double infinity = std::numeric_limits<double>::infinity();
    const Case cases[] = {
        {"zero is a value", 0, 3, "0.000"},
        {"negative zero has no sign", -0.0, 3, "0.000"},
        {"nor has what rounds to it", -0.0004, 3, "0.000"},
        {"a sign that remains", -0.0006, 3, "-0.001"},
        {"unknown is empty", nan, 3, ""},
        {"so is what is not finite", -infinity, 3, ""},
        {"a tie in binary goes to even", 0.5, 0, "0"},
        {"another", 2.5, 0, "2"},
        {"0.0005 is a little above in binary", 0.0005, 3, "0.001"},
        {"1.0005 is a little below in binary", 1.0005, 3, "1.000"},
        {"carry", 9.9996, 3, "10.000"},
        {"west longitudes", -123.456789012, 8, "-123.45678901"},
        {"northings", 5'250'000.1254, 3, "5250000.125"},
        {"fractions", 2.0 / 3, 6, "0.666667"},
        {"beyond 12 digits", 1.5e13, 3, "15000000000000.000"},
        {"whole", 42, 0, "42"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        std::string cell;
        append_number(cell, c.value, c.decimals);
        CHECK(cell == c.cell);
    }
}

TEST_CASE("the fast way of printing agrees with the standard library's digit by digit")
{
    constexpr unsigned seed = 11;
    CAPTURE(seed);
    std::mt19937_64 random{seed};
    std::uniform_real_distribution<double> exponent{-9, 14};
    std::uniform_int_distribution<int> thousandth{-50'000, 50'000};
    for (int k = 0; k < 200'000; ++k) {
        const double sign = k % 2 == 0 ? 1 : -1;
        // Every third one lies as close to a tie as a double can.
        const double value =
            k % 3 == 0 ? (thousandth(random) + 0.5) / 1000 : sign * std::pow(10, exponent(random));
        const int decimals = k % 3 == 0 ? 3 : k % 9;
        char room[64];
        const auto end =
            std::to_chars(room, room + sizeof room, value, std::chars_format::fixed, decimals).ptr;
        std::string expected{room, end};
        if (expected.find_first_not_of("-0.") == std::string::npos && expected.front() == '-')
            expected.erase(0, 1);
        std::string cell;
        append_number(cell, value, decimals);
        if (cell != expected) {
            CAPTURE(value);
            CHECK(cell == expected);
        }
    }
}

TEST_CASE("records are counted by their ends, not by line feeds inside quotes")
{
    const ScratchFolder folder;
    const auto count = [&](std::string_view text) {
        std::ofstream{folder / "t.csv", std::ios::binary} << text;
        return count_csv_records(folder / "t.csv");
    };
    CHECK(count("a,b\r\n1,2\r\n") == 2);
    CHECK(count("a\r\n\"1\r\n2\"\r\n") == 2);
    CHECK(count("a\r\n\"say \"\"x\ny\"\"\"\r\n") == 2);
    CHECK_THROWS_AS(count("a\r\n1"), Error);       // the last line has no end
    CHECK_THROWS_AS(count("a\r\n\"1\r\n"), Error); // the last quote is open
    CHECK_THROWS_AS(count(""), Error);
}
