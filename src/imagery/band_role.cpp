// SPDX-License-Identifier: Apache-2.0
#include "imagery/band_role.hpp"

#include <array>
#include <utility>

namespace fuelring {

namespace {

constexpr auto words = std::to_array<std::pair<BandRole, std::string_view>>({
    {BandRole::blue, "blue"},
    {BandRole::green, "green"},
    {BandRole::red, "red"},
    {BandRole::red_edge, "red_edge"},
    {BandRole::near_infrared, "near_infrared"},
    {BandRole::height, "height"},
    {BandRole::surface, "surface"},
    {BandRole::terrain, "terrain"},
    {BandRole::other, "other"},
});

} // namespace

std::string_view name_of(BandRole role)
{
    return words[static_cast<std::size_t>(role)].second;
}

std::optional<BandRole> band_role(std::string_view word)
{
    for (const auto& [role, name] : words)
        if (name == word)
            return role;
    return std::nullopt;
}

std::string_view all_band_roles()
{
    return "blue, green, red, red_edge, near_infrared, height, surface, terrain, other";
}

} // namespace fuelring
