// SPDX-License-Identifier: Apache-2.0
#include "base/colours/map_colours.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace fuelring::report {

namespace {

Colour of_hex(unsigned rgb)
{
    const auto part = [rgb](int shift) {
        return static_cast<double>((rgb >> shift) & 0xffU) / 255;
    };
    return {part(16), part(8), part(0)};
}

std::array<Colour, 7> exposure_ramp(bool pale_to_dark)
{
    std::array<Colour, 7> colours{};
    for (std::size_t k = 0; k < colours.size(); ++k) {
        const double share = static_cast<double>(k) / static_cast<double>(colours.size() - 1);
        colours[k] = cividis(pale_to_dark ? 1 - share : share);
    }
    return colours;
}

std::array<Colour, 5> of_hexes(const std::array<unsigned, 5>& rgb)
{
    std::array<Colour, 5> colours{};
    std::transform(rgb.begin(), rgb.end(), colours.begin(), of_hex);
    return colours;
}

MapColours light_colours()
{
    return {.ground = of_hex(0xeceeec),
            .halo = of_hex(0xffffff),
            .outline = of_hex(0x3a4249),
            .exposure = exposure_ramp(true),
            .gain = of_hexes({0x00514d, 0x1f8079, 0x56a79f, 0x8cc7bf, 0xb9dcd6}),
            .hatch = of_hex(0x767676),
            .area = of_hex(0x20262b),
            .unit = of_hex(0x8a1c6c),
            .chosen = of_hex(0x000000),
            .drawn = of_hex(0xa8430a),
            .street = of_hex(0xb7bcbf),
            .water = of_hex(0xd2dbe3)};
}

MapColours dark_colours()
{
    return {.ground = of_hex(0x22282c),
            .halo = of_hex(0x000000),
            .outline = of_hex(0xc9d1d7),
            .exposure = exposure_ramp(false),
            .gain = of_hexes({0xa8ece3, 0x62bab1, 0x3f8a83, 0x2f625d, 0x274441}),
            .hatch = of_hex(0x949494),
            .area = of_hex(0xf2f4f5),
            .unit = of_hex(0xff9ad8),
            .chosen = of_hex(0xffffff),
            .drawn = of_hex(0xffb27a),
            .street = of_hex(0x59636a),
            .water = of_hex(0x2d3a45)};
}

} // namespace

const MapColours& map_colours(MapGround ground)
{
    static const MapColours light = light_colours();
    static const MapColours dark = dark_colours();
    return ground == MapGround::light ? light : dark;
}

std::string hex_of(const Colour& colour)
{
    const auto part = [](double share) { return std::lround(255 * std::clamp(share, 0.0, 1.0)); };
    return fmt::format("#{:02x}{:02x}{:02x}", part(colour.red), part(colour.green),
                       part(colour.blue));
}

double luminance(const Colour& colour)
{
    const auto linear = [](double part) {
        return part <= 0.04045 ? part / 12.92 : std::pow((part + 0.055) / 1.055, 2.4);
    };
    return 0.2126 * linear(colour.red) + 0.7152 * linear(colour.green) +
           0.0722 * linear(colour.blue);
}

double contrast(const Colour& a, const Colour& b)
{
    const auto [darker, lighter] = std::minmax({luminance(a), luminance(b)});
    return (lighter + 0.05) / (darker + 0.05);
}

} // namespace fuelring::report
