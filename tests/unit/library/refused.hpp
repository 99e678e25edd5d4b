// SPDX-License-Identifier: Apache-2.0

// A table of what a header asks for: each row breaks one thing and is told which.
#pragma once

#include <fuelring/error.hpp>

#include <doctest/doctest.h>

#include <cstdint>
#include <functional>
#include <limits>
#include <span>
#include <stdexcept>
#include <string>
#include <string_view>

namespace fuelring::test {

constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();
constexpr double infinite = std::numeric_limits<double>::infinity();
constexpr std::int64_t most = std::numeric_limits<std::int64_t>::max();

struct Refused {
    std::string_view why;
    std::function<void()> act;
    std::string_view says;
};

/// What is said of a broken precondition: an Error, or a std::logic_error.
inline std::string refusal(const std::function<void()>& act)
{
    try {
        act();
    } catch (const Error& e) {
        return e.message();
    } catch (const std::logic_error& e) {
        return e.what();
    }
    return "not refused";
}

inline void check_refused(std::span<const Refused> rows)
{
    for (const Refused& row : rows) {
        CAPTURE(row.why);
        const std::string said = refusal(row.act);
        CAPTURE(said);
        CHECK(said.find(row.says) != said.npos);
    }
}

} // namespace fuelring::test
