// SPDX-License-Identifier: Apache-2.0

// Cells of a CSV that a spreadsheet may open. Texts that it would run as a formula are made inert
// by an apostrophe; numbers are written with a fixed number of decimals, whatever the locale. What
// was written is counted again from the disk by the rules of quotes, not by lines.
#include "base/program/csv_writer.hpp"

#include "base/program/durable_file.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <fstream>
#include <vector>

namespace fuelring {

namespace {

using namespace std::string_view_literals;

/// By decimals; each is exact as a double.
constexpr std::array<double, 10> power_of_ten = {1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9};

/// What a spreadsheet may take for a formula or a command (CWE-1236).
bool starts_like_a_formula(std::string_view text)
{
    const std::size_t first = text.find_first_not_of(" \n"sv);
    return first != std::string_view::npos &&
           "=+-@\t\r\0"sv.find(text[first]) != std::string_view::npos;
}

/// Where the text after rounding is all zeros the sign says nothing.
std::string_view without_sign_of_zero(std::string_view digits)
{
    const bool zero = digits.find_first_not_of("-0.") == std::string_view::npos;
    return zero && digits.front() == '-' ? digits.substr(1) : digits;
}

void append_exactly(std::string& to, double value, int decimals)
{
    std::array<char, 400> room; // the largest double has 309 digits before the point
    const auto end = std::to_chars(room.data(), room.data() + room.size(), value,
                                   std::chars_format::fixed, decimals)
                         .ptr;
    to += without_sign_of_zero({room.data(), end});
}

} // namespace

bool append_text_cell(std::string& to, std::string_view text)
{
    const bool neutralise = starts_like_a_formula(text);
    const bool quote = text.find_first_of(",\"\r\n"sv) != std::string_view::npos;
    if (quote)
        to += '"';
    if (neutralise)
        to += '\'';
    for (const char c : text) {
        if (c == '"')
            to += '"';
        to += c;
    }
    if (quote)
        to += '"';
    return neutralise;
}

void append_number(std::string& to, double value, int decimals)
{
    if (!std::isfinite(value))
        return;
    // Scaled to an integer the digits are four times as fast to print. The product is rounded, so
    // whatever lies near a tie, where that could turn the last digit, is left to the exact way.
    const double scaled = std::abs(value) * power_of_ten[static_cast<std::size_t>(decimals)];
    const double whole = std::floor(scaled);
    const double rest = scaled - whole;
    if (scaled > 1e12 || std::abs(rest - 0.5) < 1e-3) {
        append_exactly(to, value, decimals);
        return;
    }
    auto digits = static_cast<std::uint64_t>(whole) + (rest > 0.5 ? 1U : 0U);
    if (value < 0 && digits != 0)
        to += '-';
    std::array<char, 24> room;
    char* const end = room.data() + room.size();
    char* at = end;
    for (int k = 0; k < decimals; ++k, digits /= 10)
        *--at = static_cast<char>('0' + digits % 10);
    if (decimals > 0)
        *--at = '.';
    do {
        *--at = static_cast<char>('0' + digits % 10);
        digits /= 10;
    } while (digits != 0);
    to.append(at, end);
}

std::int64_t count_csv_records(const std::filesystem::path& file)
{
    std::ifstream in{file, std::ios::binary};
    std::vector<char> buffer(1 << 20);
    std::int64_t records = 0;
    bool quoted = false;
    char last = '\0';
    while (in.read(buffer.data(), static_cast<std::streamsize>(buffer.size())), in.gcount() > 0) {
        const std::string_view piece{buffer.data(), static_cast<std::size_t>(in.gcount())};
        for (const char c : piece) {
            quoted ^= c == '"'; // a doubled quote leaves the state as it was
            records += c == '\n' && !quoted ? 1 : 0;
        }
        last = piece.back();
    }
    if (!in.eof() || last != '\n' || quoted)
        throw Error{Failure::output, "the table cannot be read back to its last line",
                    file.string(), "check the disk, then run again"};
    return records;
}

void require_csv_records(const std::filesystem::path& file, std::size_t records)
{
    const std::int64_t found = count_csv_records(file);
    if (found != static_cast<std::int64_t>(records))
        throw Error{Failure::output,
                    fmt::format("the table has {} lines where {} were written", found, records),
                    file.string(), "check the disk, then run again"};
}

} // namespace fuelring
