// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string_view>
#include <vector>

namespace fuelring {

/// What a band of an image holds. Heights are metres above the ground; surface and terrain are
/// elevations, whose difference is a height.
enum class BandRole { blue, green, red, red_edge, near_infrared, height, surface, terrain, other };

/// Whether broadleaved trees had their leaves when the image was taken.
enum class Season { leaf_on, leaf_off };

/// The word of the configuration for a role, such as "near_infrared".
std::string_view name_of(BandRole role);
/// Empty for a word that is none of them.
std::optional<BandRole> band_role(std::string_view word);
/// All words, with commas between them, for messages.
std::string_view all_band_roles();

/// True for what light made: everything but heights.
constexpr bool is_spectral(BandRole role)
{
    return role != BandRole::height && role != BandRole::surface && role != BandRole::terrain;
}

/// The bands of one image, in the order of its file.
struct ImageBands {
    std::vector<BandRole> roles;
    Season season = Season::leaf_on;
};

} // namespace fuelring
