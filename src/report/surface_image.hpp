// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/colours/map_colours.hpp"
#include "report/run_picture.hpp"

#include <array>
#include <cstdint>
#include <string>
#include <vector>

namespace fuelring {

/// A picture of few colours, as in a PNG with a palette.
struct IndexedImage {
    using Colour = std::array<std::uint8_t, 4>; ///< red, green, blue, opacity; 0 to 255
    std::int64_t cols = 0;
    std::int64_t rows = 0;
    std::vector<Colour> colours;      ///< by index
    std::vector<std::uint8_t> pixels; ///< index of a colour, row by row from the top
};

/// The priority surface in its classes of gain, in the colours of a light ground. Index 0 is no
/// colour: clearing saves nothing there, or nothing is known; index k + 1 is class k of
/// `surface.gain`, best first. A page on a dark ground changes the palette only.
IndexedImage surface_image(const PictureSurface& surface);

/// Ground that a ring reaches and that has no known class: a grey hatch, nothing elsewhere.
IndexedImage unmapped_image(const PictureSurface& surface);

/// Colour of a class of exposure (an index of `exposure_classes`).
const report::Colour& exposure_colour(std::size_t exposure_class,
                                      report::MapGround ground = report::MapGround::light);

} // namespace fuelring
