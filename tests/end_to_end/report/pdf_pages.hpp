// SPDX-License-Identifier: Apache-2.0

// The text of a PDF by poppler's pdftotext.
#pragma once

#include "support/temp_folder.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstdio>
#include <memory>
#include <string>
#include <vector>

namespace fuelring::test {

struct PipeClose {
    void operator()(std::FILE* pipe) const noexcept { pclose(pipe); }
};

inline std::string output_of(const std::string& command)
{
    const std::unique_ptr<std::FILE, PipeClose> pipe{popen(command.c_str(), "r")};
    REQUIRE(pipe);
    std::string out;
    std::array<char, 65536> part;
    while (const std::size_t n = std::fread(part.data(), 1, part.size(), pipe.get()))
        out.append(part.data(), n);
    return out;
}

/// The text of every page, one blank between words and none in numbers, whatever blanks stood
/// there.
inline std::vector<std::string> pages_of(const fs::path& pdf)
{
    const std::string raw = output_of(fmt::format("pdftotext -raw '{}' -", pdf.string()));
    std::string spaced;
    for (std::size_t at = 0; at < raw.size(); ++at) {
        const bool narrow = raw.compare(at, 3, "\u202f") == 0;
        const bool fixed = raw.compare(at, 2, "\u00a0") == 0;
        spaced += narrow || fixed || raw[at] == '\n' ? ' ' : raw[at];
        at += narrow ? 2 : fixed ? 1 : 0;
    }
    const auto is_digit = [&](std::size_t at) {
        return at < spaced.size() && spaced[at] >= '0' && spaced[at] <= '9';
    };
    std::string text;
    for (std::size_t at = 0; at < spaced.size(); ++at) // 22 008 is one number
        if (!(spaced[at] == ' ' && at > 0 && is_digit(at - 1) && is_digit(at + 1) &&
              is_digit(at + 2) && is_digit(at + 3) && !is_digit(at + 4)))
            text += spaced[at];
    std::vector<std::string> pages;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\f', at), text.size());
        pages.push_back(text.substr(at, end - at));
        at = end + 1;
    }
    return pages;
}

} // namespace fuelring::test
