// SPDX-License-Identifier: Apache-2.0

// The hamlet on ground with heights.
#pragma once

#include "support/hamlet.hpp"
#include "support/read_outputs.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <cmath>
#include <numbers>

namespace fuelring::test {

inline constexpr double degree = std::numbers::pi / 180;
inline constexpr std::array<double, 6> two_metre_cells{599900, 2, 0, 5600400, 0, -2};

/// A plane over the hamlet that falls by `percent` towards `aspect_deg`, and a little above 0.
inline auto plane(double percent, double aspect_deg)
{
    return [=](double x, double y) {
        return 900 - percent / 100 *
                         ((x - 600150) * std::sin(aspect_deg * degree) +
                          (y - 5600150) * std::cos(aspect_deg * degree));
    };
}

/// Runs `map` with these heights.
inline ProgramResult map_on_ground(Hamlet& hamlet, const ElevationFile& elevation)
{
    const fs::path file = hamlet.folder() / "heights.tif";
    fs::remove(file);
    make_elevation(file, elevation);
    hamlet.config("inputs.elevation", "path") = toml_text(file);
    ProgramResult run = hamlet.run("map", {"--verbose"});
    CAPTURE(run.err);
    REQUIRE(run.exit_code == 0);
    return run;
}

inline nlohmann::json manifest(const Hamlet& hamlet)
{
    return nlohmann::json::parse(text_of(hamlet.out() / "run.json"));
}

inline SqlCell value(const Hamlet& hamlet, const std::string& column, const std::string& id)
{
    return sql(hamlet.out() / "fuelring.gpkg",
               fmt::format("SELECT {} FROM structures WHERE structure_id = '{}'", column, id))
        .at(0)
        .at(0);
}

} // namespace fuelring::test
