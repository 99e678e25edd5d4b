// SPDX-License-Identifier: Apache-2.0
#include "io/vector/coordinate_text.hpp"

#include <doctest/doctest.h>

#include <optional>
#include <string_view>

using namespace fuelring;

TEST_CASE("coordinates are read as offices write them, and nothing else is taken for one")
{
    struct Case {
        std::string_view why, text;
        std::optional<double> is;
    };
    const Case cases[] = {{"a point", "601234.5", 601234.5},
                          {"a comma", "601234,5", 601234.5},
                          {"blanks between thousands", "601 234,5", 601234.5},
                          {"apostrophes between thousands", "2'600'000", 2600000},
                          {"commas between thousands", "5,600,155.25", 5600155.25},
                          {"below zero", "-115,58", -115.58},
                          {"a sign in front", "+7.5", 7.5},
                          {"two commas and no point may be either", "6001,35,1", std::nullopt},
                          {"a comma behind the point", "1.234,5", std::nullopt},
                          {"degrees and minutes", "50 32' N", std::nullopt},
                          {"a word", "about 7", std::nullopt},
                          {"no number", "nan", std::nullopt},
                          {"too large", "1e999", std::nullopt},
                          {"nothing", "", std::nullopt}};
    for (const Case& c : cases) {
        CAPTURE(c.why);
        CHECK(coordinate_of(c.text) == c.is);
    }
}
