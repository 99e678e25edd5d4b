// SPDX-License-Identifier: Apache-2.0

// The table of colours as a style sheet: light, dark, and light on white paper. The script reads
// the same names where it draws on a canvas.
#include "base/colours/map_colours.hpp"
#include "report/page/page_parts.hpp"

#include <fmt/format.h>

namespace fuelring {

namespace {

std::string variables(const report::MapColours& c, const std::string& ground)
{
    std::string text;
    const auto add = [&text](const std::string& name, const std::string& colour) {
        text += fmt::format("--map-{}:{};", name, colour);
    };
    add("ground", ground);
    add("halo", hex_of(c.halo));
    add("building", hex_of(c.outline));
    add("hatch", hex_of(c.hatch));
    add("area", hex_of(c.area));
    add("unit", hex_of(c.unit));
    add("chosen", hex_of(c.chosen));
    add("drawn", hex_of(c.drawn));
    add("street", hex_of(c.street));
    add("water", hex_of(c.water));
    for (std::size_t k = 0; k < c.exposure.size(); ++k)
        add(fmt::format("exposure-{}", k), hex_of(c.exposure[k]));
    for (std::size_t k = 0; k < c.gain.size(); ++k)
        add(fmt::format("gain-{}", k), hex_of(c.gain[k]));
    return ":root{" + text + "}";
}

} // namespace

std::string colour_style()
{
    const report::MapColours& light = report::map_colours(report::MapGround::light);
    const report::MapColours& dark = report::map_colours(report::MapGround::dark);
    std::string text =
        fmt::format("{}\n@media (prefers-color-scheme: dark) {{{}}}\n@media print {{{}}}\n",
                    variables(light, hex_of(light.ground)), variables(dark, hex_of(dark.ground)),
                    variables(light, "#ffffff"));
    for (std::size_t k = 0; k < light.exposure.size(); ++k)
        text += fmt::format(".exposure-{0}{{fill:var(--map-exposure-{0})}}\n", k);
    for (std::size_t k = 0; k < light.gain.size(); ++k)
        text += fmt::format(".gain-{0}{{fill:var(--map-gain-{0})}}\n", k);
    return text;
}

} // namespace fuelring
